# One line for each finding: place, degree, what, rule, subject.
bodkin check --brief sailcloth-coat.yaml
