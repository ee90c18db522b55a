"""Read-only lines in the admin."""

from breeding.program.admin import register_room

register_room("traits")
