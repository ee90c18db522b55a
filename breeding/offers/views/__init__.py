"""Pages of the room `offers`, a file a noun."""
