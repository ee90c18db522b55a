"""Sales pages."""
