"""Tests of cautions, and of the files that come with the program."""
