# Cloths for a coat, best first, with what stands against them; things to sew of a cloth.
bodkin suit --words coat
bodkin suit --words sailcloth
