"""Tests of who gets in, and who may do what."""
