"""Read-only lines in the admin."""

from django.contrib import admin

from breeding.program.admin import ReadOnlyAdmin, register_room
from breeding.sheets.models import SheetLink


class LinkAdmin(ReadOnlyAdmin):
    exclude = ("token", "token_hash")  # who holds the token needs no account


admin.site.register(SheetLink, LinkAdmin)
register_room("sheets")
