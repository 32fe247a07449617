# The room's stock against the play's need: the coat's cloth and the shirt's interfacing are short, the rest is quiet.
bodkin check --brief canal-stock.csv | grep too-little
