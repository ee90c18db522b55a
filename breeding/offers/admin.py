"""Read-only lines in the admin."""

from django.contrib import admin

from breeding.offers.models import SalesLink
from breeding.program.admin import register_room
from breeding.sheets.admin import LinkAdmin

admin.site.register(SalesLink, LinkAdmin)
register_room("offers")
