"""A room that a later version has: its one migration changes records that are there."""
