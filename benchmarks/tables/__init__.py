"""Tables of each kind, as a keeper brings them in."""
