"""Pages that find."""
