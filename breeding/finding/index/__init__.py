"""The index: what was written, in letters that are found, kept right by the database itself."""
