"""The views of the room `agenda`, a file a noun; `urls.py` imports them from there."""
