"""The room `records`: import, the demo program."""
