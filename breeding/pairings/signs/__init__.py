"""Kinds of signs: what each is called, and what it says of a mating, changed by a form."""
