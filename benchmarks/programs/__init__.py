"""Programs of years, written in bulk for what is measured."""
