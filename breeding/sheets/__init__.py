"""Parentage sheets."""
