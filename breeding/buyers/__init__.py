"""People who wait for a pup, and the parentage sheets handed to them."""
