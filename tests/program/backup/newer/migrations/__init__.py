"""What the later version changes."""
