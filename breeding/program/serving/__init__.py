"""What stands between a directory and a page: what refuses a start, health, what runs by itself."""
