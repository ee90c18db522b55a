"""What the measured acts send, as a browser does."""
