"""Pages of the records' room, a file a noun."""
