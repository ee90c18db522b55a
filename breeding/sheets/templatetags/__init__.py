"""Template filters of the sheets' room."""
