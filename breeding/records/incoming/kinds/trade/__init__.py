"""Tables of who came and went, and of people."""
