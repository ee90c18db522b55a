"""Template filters of the room `origin`."""
