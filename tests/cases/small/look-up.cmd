# Entries with what they rest on; lists; a name of nothing.
bodkin show sailcloth
bodkin list fabrics
bodkin show sailcloht
