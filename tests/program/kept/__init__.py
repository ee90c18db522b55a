"""Tests of what came at a bad moment and is kept: forms and files."""
