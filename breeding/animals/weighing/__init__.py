"""Weighing several animals at once: one table, one act."""
