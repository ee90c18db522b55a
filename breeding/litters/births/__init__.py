"""What becomes of a birth on record: corrected, withdrawn, brought back, made of young on record."""
