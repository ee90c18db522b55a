"""What stands between a directory and a page: what refuses a start, the proxy in front, health."""
