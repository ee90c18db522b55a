"""Who is offered when something is written down: recent and expected first, then by tank."""

import datetime
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from django.db.models import Case, Max, OuterRef, Q, Subquery, Value, When
from django.utils import timezone

from breeding.animals.around import everybody_around
from breeding.animals.models import Animal
from breeding.housing.queries import present_stays
from breeding.housing.stays.lately import TankOfOne, where_everybody_is
from breeding.pairings.models import Outcome, Pairing, Sighting
from breeding.pairings.season.facts import HERE
from breeding.pairings.season.reading import SeasonReading
from breeding.program.fields import read_whole

DAY = datetime.timedelta(days=1)
LATELY = 14 * DAY  # who was seen something of in these days is likely to be seen again
EXPECTING = 200 * DAY  # longer than any gestation on record; then somebody has asked already
MOST_LIKELY = 12
MOST = 240  # faces on one page; who is not among them is found by name


@dataclass(frozen=True)
class Likely:
    """Of whom something is likely to be seen, the likeliest first, by their keys.

    company: the males a female is with. was_with: the male of one that may carry. seen: lately.
    """

    company: Mapping[int, Sequence[Animal]] = field(default_factory=dict)
    was_with: Mapping[int, Animal] = field(default_factory=dict)
    seen: Sequence[int] = ()

    @property
    def keys(self) -> list[int]:
        return list(dict.fromkeys([*self.company, *self.was_with, *self.seen]))


@dataclass(frozen=True)
class Offered:
    """One who can be chosen: the males she is with or was with, and the tank it is in."""

    animal: Animal
    males: tuple[Animal, ...] = ()
    was_with: Animal | None = None
    tank: TankOfOne | None = None

    @property
    def males_said(self) -> str:
        return ", ".join(male.name for male in self.males)

    @property
    def male(self) -> Animal | None:
        """The only one who is with her."""
        return self.males[0] if len(self.males) == 1 else None


@dataclass(frozen=True)
class TankOffered:
    """A tank, and those in it who are not offered before; perhaps nobody."""

    tank: TankOfOne
    inside: tuple[Offered, ...]


@dataclass(frozen=True)
class Whom:
    """Everybody who can be chosen, each once.

    likely: with a male, expecting, or seen lately. loose: in no tank, by letter. is_cut: there
    are more than a page holds.
    """

    likely: tuple[Offered, ...] = ()
    tanks: tuple[TankOffered, ...] = ()
    loose: tuple[Offered, ...] = ()
    is_cut: bool = False

    def __iter__(self) -> Iterator[Offered]:
        yield from self.likely
        for one in self.tanks:
            yield from one.inside
        yield from self.loose

    def chosen(self, sent: Iterable[str]) -> list[Offered]:
        """Those whose keys these are."""
        keys = {read_whole(one) for one in sent}
        return [one for one in self if one.animal.pk in keys]


def whom(
    likely: Likely,
    *,
    words: str = "",
    chosen: Iterable[str] = (),
    today: datetime.date | None = None,
    most: int = MOST,
) -> Whom:
    """Everybody here, or whoever is called so; those chosen already are among them: one query.

    today: on a page that has read who is around and where, so that it is not asked again.
    """
    ranks = {} if words else {pk: rank for rank, pk in enumerate(likely.keys[:MOST_LIKELY])}
    wanted = [*ranks, *(pk for one in chosen if (pk := read_whole(one)))]
    found = _around(wanted, today) if today and not words else _animals(wanted, words)
    offered = [
        Offered(
            one,
            males=tuple(likely.company.get(one.pk, ())),
            was_with=likely.was_with.get(one.pk),
            tank=tank,
        )
        for one, tank in sorted(found[:most], key=lambda at: (at[0].name.casefold(), at[0].code))
    ]
    return _in_groups(offered, ranks, is_cut=len(found) > most)


def _in_groups(offered: list[Offered], ranks: dict[int, int], *, is_cut: bool) -> Whom:
    likely = [one for one in offered if one.animal.pk in ranks]
    rest = [one for one in offered if one.animal.pk not in ranks]
    by_tank: dict[TankOfOne, list[Offered]] = {one.tank: [] for one in offered if one.tank}
    for one in rest:
        if one.tank is not None:
            by_tank[one.tank].append(one)
    tanks = sorted(by_tank, key=lambda tank: (tank.name.casefold(), tank.pk))
    return Whom(
        likely=tuple(sorted(likely, key=lambda one: ranks[one.animal.pk])),
        tanks=tuple(TankOffered(tank, tuple(by_tank[tank])) for tank in tanks),
        loose=tuple(one for one in rest if one.tank is None),
        is_cut=is_cut,
    )


def _around(wanted: Iterable[int], today: datetime.date) -> list[tuple[Animal, TankOfOne | None]]:
    """The same as `_animals`, out of what the page has read."""
    places = where_everybody_is(today)
    first = set(wanted)
    ordered = sorted(everybody_around(), key=lambda one: one.pk not in first)
    return [(one, places.get(one.pk)) for one in ordered]


def _animals(wanted: list[int], words: str) -> list[tuple[Animal, TankOfOne | None]]:
    """By name, each with its tank; those wanted come first, and one more than a page holds."""
    stay = present_stays().filter(animal=OuterRef("pk")).order_by("-since", "-pk")
    here = Animal.objects.filter(state__in=HERE)
    if words:
        is_called = Q(call_name__icontains=words) | Q(code__icontains=words)
        here = here.filter(is_called | Q(pk__in=wanted))
    first = Case(When(pk__in=wanted, then=Value(0)), default=Value(1))
    found = here.annotate(
        tank_pk=Subquery(stay.values("tank")[:1]),
        tank_name=Subquery(stay.values("tank__name")[:1]),
    ).order_by(first, "call_name", "code")
    return [
        (one, TankOfOne(one.tank_pk, one.tank_name) if one.tank_pk else None)
        for one in found[: MOST + 1]
    ]


def likely_of(seasons: Iterable[SeasonReading], seen: Iterable[Sighting]) -> Likely:
    """Out of what the day has read already: no query."""
    live = sorted(
        seasons,
        key=lambda one: (one.together_since or datetime.date.min, one.since or datetime.date.min),
        reverse=True,
    )
    return Likely(
        company={one.female.pk: [of.male for of in one.with_now] for one in live if one.with_now},
        was_with={one.female.pk: one.company[-1].male for one in live if one.company},
        seen=[one.female_id for one in seen],
    )


def likely_now(now: datetime.datetime) -> Likely:
    """Out of the records: three queries, however many animals there are."""
    today = timezone.localtime(now).date()
    lately = Pairing.objects.filter(
        Q(separated_on__isnull=True) | Q(separated_on__gte=today - EXPECTING),
        withdrawn_at__isnull=True,
    ).select_related("male")
    company: dict[int, list[Animal]] = defaultdict(list)
    apart = []
    for one in lately.order_by("-introduced_on", "-pk"):
        if one.separated_on is None:
            company[one.female_id].append(one.male)
        else:
            apart.append(one)
    seen = Sighting.objects.filter(seen_at__gte=now - LATELY, withdrawn_at__isnull=True)
    last = dict(seen.order_by().values_list("female").annotate(at=Max("seen_at")))
    return Likely(
        company=dict(company),
        was_with=_expecting(apart),
        seen=sorted(last, key=lambda pk: last[pk], reverse=True),
    )


def _expecting(apart: list[Pairing]) -> dict[int, Animal]:
    """Females whose season nothing has ended since, the pairing begun last first."""
    outcomes = Outcome.objects.filter(
        female__in=[one.female_id for one in apart], withdrawn_at__isnull=True
    )
    ended = dict(outcomes.order_by().values_list("female").annotate(at=Max("on")))
    found: dict[int, Animal] = {}
    for one in apart:
        over = ended.get(one.female_id)
        if over is None or over < one.introduced_on:
            found.setdefault(one.female_id, one.male)
    return found
