"""Commands of the room `records`."""
