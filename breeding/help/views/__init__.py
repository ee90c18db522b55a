"""Pages of help."""
