"""Pages of the animals' room, a file a noun."""
