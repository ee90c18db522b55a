"""Traits: how one is believed to be inherited, what was seen on whom, and by what chance."""
