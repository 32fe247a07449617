# A rule laid open, and the stages of its expression.
bodkin why thread-fits
bodkin why thread-fits -d lex,parse,type
