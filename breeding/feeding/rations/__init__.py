"""How much food is meant for whom: how heavy they are, and what food that means for them."""
