"""Pages of the room `exchange`."""
