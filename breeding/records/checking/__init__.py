"""Whether the records are whole and possible: looks at every row, and changes none."""
