# For a class everything is multiplied before it is rounded up; a wrong number is refused.
bodkin amounts --for 12 --words "denim apron with two patch pockets" | sed -n '/^What to buy/,/^$/p'; bodkin amounts --for 2.5 --words "denim apron"
