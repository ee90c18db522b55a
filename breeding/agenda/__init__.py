"""What needs doing: the front page."""
