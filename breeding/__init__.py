"""The record keeper: a Django project, one folder a room."""

__version__ = "0.1.0"
