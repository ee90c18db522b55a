"""What makes a sheet prove itself: its attachment, its signature, the check."""
