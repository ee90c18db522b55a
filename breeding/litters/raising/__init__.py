"""Young ones on their way: first food, growth, when they may leave, and who waits for them."""
