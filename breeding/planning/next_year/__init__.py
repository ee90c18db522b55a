"""Next year: how many pairings are borne, young to be expected, and who is missing."""
