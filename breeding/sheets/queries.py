"""Questions about issued sheets; they write nothing."""

from django.db.models import QuerySet

from breeding.sheets.models import Sheet

SHEETS_SHOWN = 50


def issued_sheets() -> QuerySet[Sheet]:
    """The latest first, without the facts themselves, which are large."""
    return Sheet.objects.select_related("animal", "contact", "issued_by").defer("facts", "tree_svg")
