# A key of which only the end was written: both it may be are offered
printf 'garment: coat\noperations:\n  - operation: seam\n    length: 9 mm\n' | bodkin check -
