# What a jacket takes: cloth by a width that was told, a cutting list laid on the roll, thread, buttons.
bodkin amounts --words "unlined jacket in linen 140 cm wide with a fly-front zip and two boxed patch pockets, five horn buttons, medium nonwoven fusible 90 cm wide" | sed '/^Where it comes from/,$d'
