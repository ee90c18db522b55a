"""Commands of the room of records."""
