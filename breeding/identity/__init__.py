"""Who is in a picture: discs marked on pictures, their spots, and whose they are most like."""
