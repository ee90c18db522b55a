"""Pages of the room of arrivals, a file a noun."""
