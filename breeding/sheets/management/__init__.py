"""Commands of the buyers' room."""
