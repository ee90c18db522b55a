"""Whose language a page is in, and the catalogs of what it says."""
