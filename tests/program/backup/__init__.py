"""Tests of backing up and restoring."""
