"""Pages of the room `origin`, a file a noun."""
