"""The whole program as one archive in open formats, and an empty program filled from it."""
