"""Pages of the litters' room, a file a noun."""
