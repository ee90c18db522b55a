"""What a plan says around its pairs: what is under way, from when, whom instead, who is left."""
