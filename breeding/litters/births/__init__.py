"""A birth on record: corrected, withdrawn, brought back, or made of young that are on record."""
