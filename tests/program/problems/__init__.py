"""Tests of what a refusal says, and what is asked once."""
