"""How figures are said."""
