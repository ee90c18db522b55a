"""Portraits and family trees as drawings."""
