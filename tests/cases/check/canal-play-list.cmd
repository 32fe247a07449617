# A materials list of two costumes: semicolons, decimal commas, codes of fibres, a column nobody reads
bodkin check --brief canal-play.csv
