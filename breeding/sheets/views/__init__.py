"""Pages of the sheets' room, a file a noun."""
