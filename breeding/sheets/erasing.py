"""A person's name taken out of sheets as they are kept here; files that were handed out stay.

A sheet does not name its buyer. Where somebody typed a buyer's name into what the sheet says (how
an animal is known, where it comes from), the copy kept here loses the words and its file, and says
of itself that it is no more the one that was signed. The file in the buyer's hands still proves
itself.
"""

import datetime
from functools import partial

from django.db import transaction

from breeding.program.acts.erasing import Rewrite
from breeding.sheets.models import Sheet


def erase_from_sheets(rewrite: Rewrite, on: datetime.date) -> None:
    """Rewrite the kept facts and the drawing of every sheet that needs it, and drop its file."""
    for sheet in Sheet.objects.order_by("pk").iterator(chunk_size=50):
        facts, tree = rewrite(sheet.facts), rewrite(sheet.tree_svg)
        if (facts, tree) == (sheet.facts, sheet.tree_svg):
            continue
        if sheet.file.name:
            transaction.on_commit(partial(sheet.file.storage.delete, sheet.file.name))
        Sheet.objects.filter(pk=sheet.pk).update(
            facts=facts, tree_svg=tree, file="", words_erased_on=on
        )
