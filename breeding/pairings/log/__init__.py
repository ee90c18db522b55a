"""Logging with a wet thumb: who is offered, what is asked, and what is written."""
