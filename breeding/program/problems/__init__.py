"""What stands against a value or an act, in words and beside its field."""
