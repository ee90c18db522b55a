"""Answered lines as days on which somebody looked at a female."""

import datetime
from collections.abc import Collection, Iterator
from functools import reduce
from operator import or_

from django.db.models import Q
from django.utils import timezone

from breeding.agenda.kinds.table import KINDS
from breeding.agenda.models import Answer

FEW = 3
ABOUT_FEMALES = frozenset(key for key, kind in KINDS.items() if kind.page == "pairings:female")


def answered_days(females: Collection[int]) -> Iterator[tuple[int, datetime.date]]:
    """Each day on which a line about one of these was answered: one query.

    The mark of such a line begins with her key; of a few only their lines are read.
    """
    about = sorted(ABOUT_FEMALES)
    if len(females) <= FEW:
        about = [f"{kind}:{female}" for kind in about for female in females]
    further = (Q(key__startswith=f"{one}:") for one in about)
    is_about = reduce(or_, further, Q(key__in=about))
    given = Answer.objects.filter(is_about, withdrawn_at__isnull=True)
    for key, at in given.values_list("key", "recorded_at"):
        kind, female, *_ = f"{key}:".split(":")
        if kind in ABOUT_FEMALES and female.isdigit() and int(female) in females:
            yield int(female), timezone.localtime(at).date()
