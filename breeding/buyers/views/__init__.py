"""Pages of the buyers' room, a file a noun."""
