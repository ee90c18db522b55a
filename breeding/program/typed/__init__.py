"""Numbers as people type them: one reading for every form and every cell of a table."""
