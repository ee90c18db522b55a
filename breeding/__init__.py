"""The record keeper: a Django project, one folder a room."""
