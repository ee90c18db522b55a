"""The invented program."""
