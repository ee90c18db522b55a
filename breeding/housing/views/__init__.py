"""Pages of the tanks' room, a file a noun."""
