"""Walks through the pages in a real browser."""
