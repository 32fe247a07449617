# Cards: for the machine, for fusing (and for what is sewn in), labels in both measures.
bodkin handout --cloths "denim" --sheet "machine card"
bodkin handout --cloths "cotton poplin, silk chiffon" --sheet "fusing card"
bodkin handout --cloths "cotton poplin" --sheet "cloth label" --measures both --country us
