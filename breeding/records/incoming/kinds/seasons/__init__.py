"""Tables of breeding: pairings, what was seen, births."""
