"""A key that signed sheets and is gone: never replaced in silence, for buyers know it."""

from pathlib import Path

from django.core.management import CommandError

from breeding import home
from breeding.program.serving.refusals import Asked
from breeding.sheets.models import Sheet
from breeding.words.language import message, tell

LOST = message(
    "The key that signed the sheets on record, {name}, is not there. Sheets that were handed out "
    "stay good; with another key, buyers need its new fingerprint from you."
)


def check_the_key(asked: Asked) -> None:
    """Make the first key of a program; raise CommandError when an earlier one is lost."""
    place = asked.home
    try:
        if home.has_sheet_key(place):
            return
        if asked.new_sheet_key or not is_lost(place):
            home.sheet_key(place, make=True)
            return
    except (OSError, ValueError) as problem:
        raise CommandError(str(problem)) from None
    if not asked.without_signing:
        raise CommandError(
            tell(LOST, name=place / home.SHEET_KEY_FILE)
            + " "
            + tell(
                "Put the file back from a backup; or start with --new-sheet-key to make another, "
                "or with --without-signing to issue no sheets until it is found."
            )
        )


def is_lost(place: Path) -> bool:
    """Whether sheets were signed, and what they were signed with is gone."""
    is_there = (place / home.SHEET_KEY_FILE).exists()
    return not is_there and Sheet.objects.exclude(public_key="").exists()
