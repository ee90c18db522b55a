"""Tests of names, numbers, moments and time zones as typed."""
