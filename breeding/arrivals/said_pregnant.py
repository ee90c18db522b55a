"""Females that were said to be pregnant when they came: a hint, until a scan or a birth tells."""

import datetime
from collections.abc import Iterator

from django.db.models import Exists, OuterRef

from breeding.animals import lineage
from breeding.animals.models import Animal
from breeding.animals.species.profiles import all_profiles
from breeding.arrivals.models import Arrival
from breeding.pairings.models import Outcome, Scan
from breeding.pairings.season.disagreements import Disagreement, Way
from breeding.pairings.season.facts import HERE
from breeding.words.days import long_day
from breeding.words.language import tell

MOST_DAYS = 800  # no gestation on record is longer; only so far back is looked


def said_to_be_pregnant(asof: datetime.date, female: Animal | None) -> Iterator[Disagreement]:
    """Those whose young could still come: one query, and none more while nobody is said to be.

    A scan or a birth on that day or later has told, whatever it told.
    """
    told = {"withdrawn_at__isnull": True, "on__gte": OuterRef("on"), "female": OuterRef("animal")}
    rows = Arrival.objects.filter(
        ~Exists(Scan.objects.filter(**told)),
        ~Exists(Outcome.objects.filter(**told)),
        pregnant=Arrival.Pregnant.YES,
        on__gte=asof - datetime.timedelta(days=MOST_DAYS),
        on__lte=asof,
        animal__sex=Animal.Sex.FEMALE,
        animal__state__in=HERE,
        animal__withdrawn_at__isnull=True,
    )
    if female is not None:
        rows = rows.filter(animal=female)
    found = list(rows.select_related("animal", "animal__portrait").order_by("on", "pk"))
    if not found:
        return
    shares, profiles = lineage.current().shares, all_profiles()
    for arrival in found:
        # If she was, her young come by then: the longest gestation from the day she came.
        longest = profiles.of(shares.get(arrival.animal_id, {})).gestation_longest_days
        latest = arrival.on + datetime.timedelta(days=longest)
        if asof <= latest:
            yield _hint(arrival, latest)


def _hint(arrival: Arrival, latest: datetime.date) -> Disagreement:
    female = arrival.animal
    return Disagreement(
        f"{female.pk}:{arrival.pk}",
        "said_pregnant",
        female,
        (),
        arrival.on,
        tell(
            "{female} was said to be pregnant when she came on {day}. Nobody here saw it, and no "
            "date rests on it: a scan or a birth will tell. If she is, her young come by {latest} "
            "at the latest.",
            female=female.name,
            day=long_day(arrival.on),
            latest=long_day(latest),
        ),
        (
            Way(tell("Write down a scan"), "pairings:scan", female.pk),
            Way(tell("How it ended"), "pairings:outcome", female.pk),
            Way(tell("Change what was said"), "program:change", ("arrival", arrival.pk)),
        ),
    )
