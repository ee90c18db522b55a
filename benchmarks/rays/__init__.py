"""Invented rays and their pictures: what recognition is fitted to and tried on."""
