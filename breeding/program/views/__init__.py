"""Pages of the ground floor, a file a noun."""
