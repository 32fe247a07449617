# The other way round: what a length that is there suffices for.
bodkin amounts --words "0.6 m of linen 140 cm wide"
