"""Loans in both directions: acts on them, those that are over, and the young owed for one."""
