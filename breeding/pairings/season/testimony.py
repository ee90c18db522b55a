"""What of a female's signs counts, given who can have reached her; and what has to be asked."""

import datetime
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from breeding.animals.models import Animal
from breeding.gestation import Profile, Sign
from breeding.gestation.profile import MATING_SEEN
from breeding.pairings.models import Sighting
from breeding.pairings.season.exposure import DAY, Stretch
from breeding.pairings.season.seen import days_seen
from breeding.pairings.season.whereabouts import Whereabouts

Date = datetime.date


@dataclass(frozen=True)
class Testimony:
    """Signs as the model is given them, and those that the records of company contradict.

    company: days on which a named male was with her by the sign alone, by male. alone: signs on
    days on which no mature male could reach her as far as is on record. elsewhere: signs that
    name a male who was elsewhere on record; nothing follows from these.
    """

    signs: tuple[Sign, ...] = ()
    company: Mapping[int, Collection[Date]] = field(default_factory=dict)
    alone: tuple[Sighting, ...] = ()
    elsewhere: tuple[Sighting, ...] = ()


def hear(
    female: Animal,
    sightings: Iterable[Sighting],
    company: Sequence[Stretch],
    *,
    unknown: Collection[Date],
    whereabouts: Whereabouts,
    profile: Profile,
) -> Testimony:
    """Each sign against who was with her on the days from which it can come.

    A sign that names a male makes its day company with him, unless records say that one of the
    two was elsewhere. One that names nobody needs company, or days of which nobody knows; a
    mating seen counts all the same while she is in no tank on record.
    """
    signs, alone, elsewhere = [], [], []
    named: dict[int, set[Date]] = defaultdict(set)
    for sighting, on in zip(sightings, days_seen(sightings), strict=True):
        kind, male = sighting.kind.key, sighting.male
        if kind not in profile.signs:
            continue
        days = _days(kind, on, profile)
        met = [one for one in company if _covers(one, days)]
        if male is not None and not any(one.male == male for one in met):
            if whereabouts.are_apart(female, male, on) or (
                not whereabouts.is_lent(male.pk, on)
                and not whereabouts.is_lent(female.pk, on)
                and _has_left(male, company, days)
            ):
                elsewhere.append(sighting)
                continue
            named[male.pk].add(on)
        elif male is None and not met and not any(day in unknown for day in days):
            alone.append(sighting)
            if kind != MATING_SEEN or whereabouts.is_placed(female.pk, on):
                continue
        signs.append(Sign(on, kind, sighting.male_id))
    return Testimony(tuple(signs), dict(named), tuple(alone), tuple(elsewhere))


def _days(kind: str, on: Date, profile: Profile) -> list[Date]:
    """The days on which the mating that a sign speaks of can have been."""
    back = 1 if kind == MATING_SEEN else int(profile.window_days)
    return [on - DAY * number for number in range(back)]


def _covers(stretch: Stretch, days: Sequence[Date]) -> bool:
    return stretch.first <= days[0] and (stretch.last is None or stretch.last >= days[-1])


def _has_left(male: Animal, company: Sequence[Stretch], days: Sequence[Date]) -> bool:
    """Whether she was with him before, and that had ended by then on record."""
    return any(one.male == male and one.last is not None and one.last < days[-1] for one in company)
