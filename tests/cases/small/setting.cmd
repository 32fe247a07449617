# One setting: what was said is kept; one that nothing has; one there is no advice for.
bodkin check sailcloth-coat.yaml --setting needle.size
bodkin check --words "mist cloak" --setting press.heat
