"""Template tags of the animals' room."""
