# The same in plain words; a word that means nothing is named, once.
bodkin check --words "coat sailcloth pocket twinkle twine twinkle"
