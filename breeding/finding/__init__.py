"""Finding anything by what was typed or scanned, and the cards that are scanned."""
