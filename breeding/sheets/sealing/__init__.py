"""What makes a sheet prove itself: its attachment, its signature and the key to it, the check."""
