"""The handbook, the page of words, and the first steps of an empty program."""
