"""Questions about issued sheets; they write nothing."""

from django.db.models import QuerySet

from breeding.animals.models import Animal
from breeding.sheets.models import Sheet

SHEETS_SHOWN = 50


def issued_sheets() -> QuerySet[Sheet]:
    """The latest first, without the facts themselves, which are large."""
    return Sheet.objects.select_related("animal", "contact", "issued_by").defer("facts", "tree_svg")


def standing_sheets(animal: Animal) -> QuerySet[Sheet]:
    """Those of this animal that are neither withdrawn nor replaced."""
    return issued_sheets().filter(animal=animal, withdrawal__isnull=True, correction__isnull=True)
