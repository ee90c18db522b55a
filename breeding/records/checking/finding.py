"""One thing that is wrong with the records: what, where, and how it is mended."""

from dataclasses import dataclass

from django.db import models
from django.urls import NoReverseMatch, reverse

from breeding.program.acts.mending import put_right_address_of
from breeding.words.language import message, tell

THE_DATABASE = message("the database")
RESTORE = message("Restore a backup from before it; keep a copy of what is there now.")


@dataclass(frozen=True)
class Finding:
    """A record with what is wrong with it. address: the page where it is mended, if one is."""

    record: str
    words: str
    mend: str
    address: str = ""


def of_record(record: models.Model, words: str, mend: str = "") -> Finding:
    """A finding about a row, which leads to the page that puts it right, or at least shows it."""
    address = put_right_address_of(record) or _look_at(record)
    return Finding(name_of(record), words, mend or tell("Put it right on its page."), address)


def name_of(record: models.Model) -> str:
    """What a record is called; its kind and number when what its name rests on is gone."""
    kind = f"{record._meta.verbose_name} {record.pk}"
    try:
        name = getattr(record, "full_name", "") or str(record)
    except (models.ObjectDoesNotExist, AttributeError, TypeError, ValueError):
        return kind
    return " ".join(name.split()) or kind


def _look_at(record: models.Model) -> str:
    """The row as it is in the database, for owners."""
    options = record._meta
    try:
        return reverse(f"admin:{options.app_label}_{options.model_name}_change", args=[record.pk])
    except NoReverseMatch:
        return ""
