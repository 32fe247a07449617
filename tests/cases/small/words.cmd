# The same in plain words; a word that means nothing is named.
bodkin check --words "coat in sailcloth with a pocket and twinkle, sewn with twine"
