"""What stands around every request: roles, the program, one memory a request."""
