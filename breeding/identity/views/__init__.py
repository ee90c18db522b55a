"""Pages of the room `identity`."""
