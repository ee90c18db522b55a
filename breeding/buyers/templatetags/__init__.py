"""Template filters of the buyers' room."""
