"""Template filters of the housing room."""
