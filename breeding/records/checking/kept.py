"""The check as its page shows it: every record is looked at once a day, and when one asks for it.

It reads every row of the program, so the page says as of when it stands, and whether anything was
written since, and leaves it to its reader to have everything looked at again.
"""

import datetime
from collections import OrderedDict
from collections.abc import Hashable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from django.db import connection
from django.utils import timezone
from django.utils.translation import get_language

from breeding.buyers.models import Contact
from breeding.program.models import Person
from breeding.program.unchanged.marks import CHANGED, standing
from breeding.records.apps import RecordsConfig
from breeding.records.checking.everything import Part, check_everything, found_words
from breeding.words.clock import hours_of_clock

MOST = 4  # of a few languages
MOST_SHOWN = 50  # under one heading; the command tells all

_kept: "OrderedDict[Hashable, _Kept]" = OrderedDict()


@dataclass(frozen=True)
class Checked:
    """What was found, of each part no more than so much. more: how many it leaves out of each."""

    parts: tuple[tuple[Part, int], ...]
    words: str
    at: datetime.datetime
    written_since: bool = False


@dataclass(frozen=True)
class _Kept:
    checked: Checked
    marks: Mapping[str, Any]


def checked(now: datetime.datetime, *, again: bool = False) -> Checked:
    """What the check of today has found, whatever was written since; looked for anew if there is
    none, if one asks for it, or if a contact was changed: nobody who was erased stands in it.
    """
    marks = standing(connection)
    today = timezone.localdate(now)
    around = (timezone.get_current_timezone_name(), get_language(), hours_of_clock())
    key = (str(connection.settings_dict["NAME"]), around)
    kept = _kept.get(key)
    if marks and kept and not again and _stands(kept, marks, today):
        return replace(kept.checked, written_since=_differ(kept.marks, marks))
    found = _checked(check_everything(today), now)
    if marks:
        _kept[key] = _Kept(found, marks)
        _kept.move_to_end(key)
        while len(_kept) > MOST:
            _kept.popitem(last=False)
    return found


def _checked(parts: list[Part], now: datetime.datetime) -> Checked:
    shown = tuple(
        (replace(one, findings=one.findings[:MOST_SHOWN]), len(one.findings[MOST_SHOWN:]))
        for one in parts
    )
    return Checked(shown, found_words(parts), now)


def _stands(kept: _Kept, marks: Mapping[str, Any], today: datetime.date) -> bool:
    contacts = Contact._meta.db_table + CHANGED
    is_of_today = timezone.localdate(kept.checked.at) == today
    return is_of_today and kept.marks.get(contacts) == marks.get(contacts)


def _differ(before: Mapping[str, Any], now: Mapping[str, Any]) -> bool:
    """Whether a record was written; who signs in is written down too, and is none."""
    tables = (one._meta.db_table for one in RecordsConfig.kept_models() if one is not Person)
    return any(before.get(table) != now.get(table) for table in tables)
