# The order of work for the coat of the canal play.
bodkin order lock-keepers-coat.yaml
