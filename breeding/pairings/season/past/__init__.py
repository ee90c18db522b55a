"""Seasons that are over: how each ended, and what all of them teach."""
