"""Pages of the pairings' room, a file a noun."""
