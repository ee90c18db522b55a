"""The whole program out and in again."""
