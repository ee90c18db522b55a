"""Answered lines as days on which somebody looked at a female."""

import datetime
from collections.abc import Collection, Iterator

from django.utils import timezone

from breeding.agenda.kinds.table import KINDS
from breeding.agenda.models import Answer

ABOUT_FEMALES = frozenset(key for key, kind in KINDS.items() if kind.page == "pairings:female")


def answered_days(females: Collection[int]) -> Iterator[tuple[int, datetime.date]]:
    """Each day on which a line about one of these was answered: one query.

    The mark of such a line begins with her key.
    """
    given = Answer.objects.filter(withdrawn_at__isnull=True)
    for key, at in given.values_list("key", "recorded_at"):
        kind, female, *_ = f"{key}:".split(":")
        if kind in ABOUT_FEMALES and female.isdigit() and int(female) in females:
            yield int(female), timezone.localtime(at).date()
