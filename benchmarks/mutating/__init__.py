"""Slips of the hand in the code, and the tests that have to notice them."""
