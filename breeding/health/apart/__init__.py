"""Quarantine: when its days begin again, what is said of it by word, and how it ends."""
