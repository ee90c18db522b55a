"""Births and pups."""
