"""Proof of origin."""
