"""Pages of the room `traits`."""
