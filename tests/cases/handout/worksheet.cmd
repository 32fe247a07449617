# A worksheet with the needles and the seam of one cloth blank, its key after it.
bodkin handout --cloths "cotton poplin, denim" --words "patch pocket" --blank "needle, seam of denim" --key key.txt
cat key.txt
rm -f key.txt
