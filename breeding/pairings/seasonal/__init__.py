"""Water under the program's own matings and births: a picture, which proves nothing."""
