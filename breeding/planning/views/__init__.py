"""Pages of the planning room, a file a noun."""
