# A fault in words: causes by the conditions, those tried last, checks by ease; no such fault.
bodkin trouble "loops like weed" --with "storm sailcloth coat" --tried "wound the winch, sang to the crew"
bodkin trouble torn leech
bodkin trouble zzyzx
bodkin trouble
