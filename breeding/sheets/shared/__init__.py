"""What strangers see of the program: by which addresses, on what page, and files as sent."""
