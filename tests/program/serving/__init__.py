"""Tests of starting, and of what the server does by itself."""
