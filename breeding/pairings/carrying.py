"""When females carried young, or may have, for whoever reckons with their weight."""

import datetime
from collections.abc import Collection, Mapping

from breeding.animals.growth.carrying import LONGEST_DAYS, Span
from breeding.pairings.models import Outcome, Pairing, Scan
from breeding.pairings.outcomes import among

Date = datetime.date
LONGEST = datetime.timedelta(days=LONGEST_DAYS)


def carrying_by_pairings(females: Collection[int]) -> Mapping[int, list[Span]]:
    """From a pairing or a scan that showed young until the season ended, and before its end.

    Wide on purpose: a weight that is left out costs little. At most three queries.
    """
    ends: dict[int, list[tuple[Date, str]]] = {}
    for one in among(females):
        if one.female_id in females:
            ends.setdefault(one.female_id, []).append((one.on, one.kind))
    found: dict[int, list[Span]] = {}
    for female, known in ends.items():
        spans = [(on - LONGEST, on) for on, kind in known if kind != Outcome.Kind.NOT_PREGNANT]
        found[female] = spans
    pairings = Pairing.objects.filter(female__in=females, withdrawn_at__isnull=True)
    together = [
        (female, since, until or Date.max - LONGEST)
        for female, since, until in pairings.values_list("female", "introduced_on", "separated_on")
    ]
    scans = Scan.objects.filter(female__in=females, positive=True, withdrawn_at__isnull=True)
    seen = [(female, on, on) for female, on in scans.values_list("female", "on")]
    for female, since, until in (*together, *seen):
        later = sorted(one for one in ends.get(female, ()) if one[0] >= since)
        if not later:
            found.setdefault(female, []).append((since, until + LONGEST))
        elif later[0][1] != Outcome.Kind.NOT_PREGNANT:
            found.setdefault(female, []).append((since, later[0][0]))
    return found
