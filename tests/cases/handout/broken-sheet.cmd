# A sheet with everything wrong in it: each complaint has its place and the near match.
mkdir knowledge && cp ../../../kb/*.yaml knowledge
cat >knowledge/broken.yaml <<'END'
sheets:
  - sheet: broken
    title: Broken
    for: every cloth
    usual: [colar]
    parts:
      - part: a
        shows: tabel
        each: peice
        lines:
          - {line: x, label: X, settings: [needle.sise]}
          - {line: x, label: X, properties: [component.wieght]}
          - {line: y, label: Y, says: "no basis"}
          - {line: z, label: Z}
          - {line: w, label: W, cases: [{when: component.weight > 3, says: "{component.wight}"}], basis: practice}
          - {line: v, label: V, is: writ, colour: red}
      - part: b
        shows: places
        most: many
measures:
  - {measures: odd, units: [mms]}
END
bodkin compile knowledge ../../../rules -o odd.db 2>&1 | grep -A 2 "error:"
ls odd.db 2>/dev/null
rm -rf knowledge
