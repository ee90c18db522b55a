"""Read-only lines in the admin."""

from django.contrib import admin

from breeding.buyers.models import SalesLink, SheetLink
from breeding.program.admin import ReadOnlyAdmin, register_room


class SheetLinkAdmin(ReadOnlyAdmin):
    exclude = ("token", "token_hash")  # who holds the token needs no account


admin.site.register([SheetLink, SalesLink], SheetLinkAdmin)
register_room("buyers")
