# Open questions change the exit status only when asked to.
bodkin check --brief sailcloth-coat.yaml >&2; echo "plain $?" >&2
bodkin check --brief --strict sailcloth-coat.yaml >/dev/null; echo "strict $?" >&2
bodkin check --brief mist-cloak.yaml >/dev/null; echo "with a finding $?" >&2
