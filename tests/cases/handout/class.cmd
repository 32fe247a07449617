# A handout for a class: three cloths, two details, a line for the room.
bodkin handout --cloths "cotton poplin, denim, silk chiffon" --words "patch pocket, knife pleats" --class "Wardrobe room, lock house"
