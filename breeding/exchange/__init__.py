"""Ancestry given to other programs and taken from them, each as a signed file."""
