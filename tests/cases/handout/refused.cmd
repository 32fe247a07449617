# What cannot be made into a handout, with the near match or the place.
bodkin handout
bodkin handout --cloths "coton popln"
bodkin handout --cloths denim --sheet "machne card"
bodkin handout --where "wieght < 120 g/m2"
bodkin handout --where "weight < 120 gsmm"
bodkin handout --where "structure = wovn"
bodkin handout --where "weight > 2000 g/m2"
bodkin handout --cloths denim --where "weight > 200 g/m2"
bodkin handout --cloths denim --blank nedle
bodkin handout --cloths denim --blank "needle of velvet"
bodkin handout --cloths denim --key key.pdf
bodkin handout --cloths denim --blank needle --key key.doc
bodkin handout --cloths denim --measures feet
bodkin handout --cloths denim --country fr
bodkin handout --cloths denim --most 0
