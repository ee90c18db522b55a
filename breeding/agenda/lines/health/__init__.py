"""The lines of whoever is hurt, not well, kept apart or died."""
