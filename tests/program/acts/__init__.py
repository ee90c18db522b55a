"""Tests of acts: written once, undone, put right."""
