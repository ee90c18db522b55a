"""The facts of females' seasons, read from the database in a handful of queries; nothing follows.

Everything else in this folder reckons from what is gathered here and asks for nothing more. While
a request only reads, what has been gathered stays known until it ends.
"""

import datetime
from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import NamedTuple

from breeding.animals import lineage, revisions
from breeding.animals.around import AROUND, everybody_around
from breeding.animals.away.loans import Away, loans_of
from breeding.animals.models import Animal, Measurement
from breeding.animals.species.profiles import Figures, Profiles, all_profiles
from breeding.feeding.appetite import Appetite
from breeding.feeding.queries import appetites
from breeding.housing.models import Stay
from breeding.housing.stays.lately import in_tanks_after
from breeding.housing.stays.shared_water import Shared, places_beside, shared_stretches
from breeding.pairings.models import Outcome, Pairing, Scan, Sighting, SignKind
from breeding.pairings.outcomes import outcomes_of
from breeding.pairings.season.looked import looked_days
from breeding.pairings.season.seen import (
    SeenSign,
    all_signs,
    kinds_by_key,
    named,
    seen_on,
    sightings_since,
)
from breeding.pairings.season.whereabouts import Whereabouts, whereabouts_of
from breeding.program.frame.memory import only_reads, remembered_while_reading
from breeding.program.unchanged.along import read_along, take_along

Date = datetime.date
HERE = AROUND
_TOGETHER = "season_together"
take_along(_TOGETHER, None)


class Ask(NamedTuple):
    """Which season of a female is meant: the one going on on a day, or the one `until` closed.

    birth_on: she gave birth on that day, though no outcome says so yet. eats: whether how she ate
    is read, which what is to be done rests on, and no estimate.
    """

    female: Animal
    asof: Date
    until: Outcome | None = None
    birth_on: Date | None = None
    eats: bool = True

    @property
    def born_on(self) -> Date | None:
        """The birth that ends the season, if one does."""
        if self.until is not None:
            return self.until.on if self.until.is_birth else None
        return self.birth_on


@dataclass(frozen=True)
class Together:
    """Who was with whom, by female: pairings, water shared with males, and what tells maturity."""

    females: frozenset[int]  # those asked for, company or not
    pairings: Mapping[int, Sequence[Pairing]] = field(repr=False)
    shared: Mapping[int, Sequence[Shared]] = field(repr=False)
    animals: Mapping[int, Animal] = field(repr=False)  # every male, and females that met one
    widths: Mapping[int, Sequence[tuple[Date, int]]] = field(repr=False)  # of unknown age only
    figures: Mapping[int, Figures] = field(repr=False)
    loans: Mapping[int, Sequence[Away]] = field(default_factory=dict, repr=False)

    def with_more(self, more: "Together") -> "Together":
        """The same with what was read of further females."""
        return Together(
            females=self.females | more.females,
            pairings={**self.pairings, **more.pairings},
            shared={**self.shared, **more.shared},
            animals={**self.animals, **more.animals},
            widths={**self.widths, **more.widths},
            figures={**self.figures, **more.figures},
            loans={**self.loans, **more.loans},
        )


@dataclass(frozen=True)
class Past:
    """How seasons ended and what was seen, of all females, each in order of days."""

    outcomes: Mapping[int, Sequence[Outcome]]
    signs: Mapping[int, Sequence[SeenSign]]
    shortest_days: Callable[[int], int] = lambda _: 1  # gestation of a female, by key

    def outcomes_before(self, ask: Ask) -> list[Outcome]:
        """Oldest first; the last of them began the season that is asked for.

        A "was not pregnant" sooner before the birth that ended it than any gestation began none.
        """
        before = self._outcomes_before(ask)
        born_on = ask.born_on
        while born_on is not None and before and self._is_wrong(before[-1], born_on):
            before.pop()
        return before

    def contradicted(self, female: int, outcomes: Sequence[Outcome]) -> Outcome | None:
        """The "was not pregnant" that the birth after it, the last of these, shows to be wrong."""
        if len(outcomes) < 2 or not outcomes[-1].is_birth:
            return None
        return outcomes[-2] if self._is_wrong(outcomes[-2], outcomes[-1].on) else None

    def _is_wrong(self, outcome: Outcome, born_on: Date) -> bool:
        if outcome.kind != Outcome.Kind.NOT_PREGNANT:
            return False
        return (born_on - outcome.on).days < self.shortest_days(outcome.female_id)

    def _outcomes_before(self, ask: Ask) -> list[Outcome]:
        return [
            one
            for one in self.outcomes.get(ask.female.pk, ())
            if one.on <= ask.asof
            and one != ask.until
            and (ask.until is None or one.on <= ask.until.on)
        ]

    def seen_in(self, ask: Ask) -> list[int]:
        """Keys of what was seen of her in the season asked for."""
        ended = self.outcomes_before(ask)
        start = ended[-1].on if ended else Date.min
        signs = self.signs.get(ask.female.pk, ())
        return [one.sighting for one in signs if start <= one.on <= ask.asof]


@dataclass(frozen=True)
class Facts:
    """All that is on record of the seasons asked for, and of every season that was closed.

    sightings: whole rows, by key, of the seasons asked for only; `past` holds every one, bare.
    Withdrawn rows are left out everywhere.
    """

    together: Together
    past: Past = field(repr=False)
    sightings: Mapping[int, Sighting] = field(repr=False)
    scans: Mapping[int, Sequence[Scan]] = field(repr=False)
    kinds: Mapping[str, SignKind] = field(repr=False)
    profiles: Profiles = field(repr=False)
    shares: Mapping[int, Mapping[int | None, Fraction]] = field(repr=False)
    looked: Mapping[int, Collection[Date]] = field(default_factory=dict, repr=False)
    whereabouts: Whereabouts = field(default=Whereabouts(), repr=False)
    appetites: Mapping[Date, Mapping[int, Appetite]] = field(default_factory=dict, repr=False)

    def appetite_of(self, ask: Ask) -> Appetite:
        """How she ate on the day of a season that goes on; of a closed one nothing is asked."""
        return self.appetites.get(ask.asof, {}).get(ask.female.pk, Appetite())

    def figures_of(self, animal: int) -> Figures:
        return self.profiles.of(self.shares.get(animal, {}))

    def sightings_of(self, ask: Ask) -> list[Sighting]:
        """Of the season asked for, as they were seen."""
        return [self.sightings[key] for key in self.past.seen_in(ask)]

    def looked_at(self, female: int, since: Date, until: Date) -> tuple[Date, ...]:
        """The days in order on which somebody looked at her, both ends counted."""
        seen = {sign.on for sign in self.past.signs.get(female, ())}
        scanned = {scan.on for scan in self.scans.get(female, ())}
        days = seen | scanned | set(self.looked.get(female, ()))
        return tuple(sorted(on for on in days if since <= on <= until))


def gather(asks: Sequence[Ask] = ()) -> Facts:
    """The facts of these seasons: the number of queries does not grow with them.

    Asked for nobody, the facts of every season that was closed, of whatever female. Of those
    asked for nothing is read that was seen before their season.
    """
    past, sightings = _past_of(asks) if asks else (gather_past(), {})
    return _gather(asks, past, (), sightings)


def gather_all(asks: Sequence[Ask]) -> Facts:
    """Of these seasons, and of every one that was closed."""
    past = gather_past()
    return _gather(asks, past, past.outcomes.keys(), sightings_since(_starts(asks, past)))


def _gather(
    asks: Sequence[Ask], past: Past, others: Collection[int], sightings: Mapping[int, Sighting]
) -> Facts:
    asked = {ask.female.pk for ask in asks}
    if len(asks) > 1 and only_reads():
        everybody_around(asks[0].asof)  # as the page asks, which has them at hand then
    others = others if asks else past.outcomes.keys()
    named = {one.male.pk: one.male for one in sightings.values() if one.male is not None}
    keys = {*asked, *others}
    scans = _scans(keys)
    together = gather_together([ask.female for ask in asks], others=others)
    profiles, shares = _figures_and_shares()
    strangers = [male for pk, male in named.items() if pk not in together.animals]
    return Facts(
        together=together,
        past=past,
        sightings=sightings,
        scans=scans,
        looked=looked_days(keys),
        whereabouts=whereabouts_of(
            {*asked, *named} if sightings else (),
            {**together.loans, **(loans_of(strangers) if strangers else {})},
        ),
        kinds=kinds_by_key(),
        profiles=profiles,
        shares=shares,
        appetites=_appetites(asks),
    )


def _appetites(asks: Sequence[Ask]) -> dict[Date, Mapping[int, Appetite]]:
    """Of those whose season goes on, by the day of which it is asked."""
    going_on: dict[Date, list[int]] = defaultdict(list)
    for ask in asks:
        if ask.until is None and ask.eats:
            going_on[ask.asof].append(ask.female.pk)
    return {asof: appetites(_with_them(keys, asof), asof) for asof, keys in going_on.items()}


def _with_them(keys: Collection[int], asof: Date) -> Collection[int]:
    """And, for a page that asks about several, who is around: it asks about all of these."""
    if len(keys) == 1 or not only_reads():
        return keys
    return {*keys, *(one.pk for one in everybody_around(asof))}


def gather_past() -> Past:
    """How all seasons ended and what was seen: two queries."""
    return remembered_while_reading("season_past", _past)


def _past_of(asks: Sequence[Ask]) -> tuple[Past, Mapping[int, Sighting]]:
    """The same with what was seen in the seasons asked for alone, and that."""
    past = Past(outcomes_of({ask.female.pk for ask in asks}), {}, _shortest_days())
    signs: dict[int, list[SeenSign]] = defaultdict(list)
    sightings = sightings_since(_starts(asks, past))
    for row in sightings.values():
        sign = SeenSign(seen_on(row), row.kind.key, row.kind.after is not None, row.pk)
        signs[row.female_id].append(sign)
    return Past(past.outcomes, dict(signs), past.shortest_days), sightings


def _starts(asks: Iterable[Ask], past: Past) -> dict[int, Date]:
    """The day on which the season of each female begins, the first one where several are asked."""
    starts: dict[int, Date] = {}
    for ask in asks:
        ended = past.outcomes_before(ask)
        start = ended[-1].on if ended else Date.min
        starts[ask.female.pk] = min(start, starts.get(ask.female.pk, start))
    return starts


def gather_together(females: Iterable[Animal], *, others: Collection[int] = ()) -> Together:
    """Who these females, and `others` by their keys, were with: at most five queries."""
    known = {female.pk: female for female in females}
    keys = {*known, *others}
    held = read_along(_TOGETHER, lambda: _together(keys, known))
    missing = keys - held.females
    return held.with_more(_together(missing, known)) if missing else held


def females_here(asof: Date) -> list[Animal]:
    """Every female that is here or on loan, by name: at most one query (`everybody_around`)."""
    return [one for one in everybody_around(asof) if one.sex == Animal.Sex.FEMALE]


def places_on(asof: Date) -> dict[int, Stay]:
    """Where each animal is at the end of a day: at most one query."""
    return {stay.animal_id: stay for stay in in_tanks_after(asof) if stay.animal.state in HERE}


def widths_of(animals: Iterable[Animal]) -> dict[int, list[tuple[Date, int]]]:
    """Disc widths by day of those whose age is not known; at most one query."""
    of_unknown_age = [one.pk for one in animals if one.born_on is None]
    widths: dict[int, list[tuple[Date, int]]] = defaultdict(list)
    if of_unknown_age:
        rows = Measurement.objects.filter(
            animal__in=of_unknown_age, disc_width_mm__isnull=False, on__isnull=False
        )
        for pk, on, width in rows.order_by("on", "pk").values_list("animal", "on", "disc_width_mm"):
            if on:
                widths[pk].append((on, width or 0))
    return widths


# -- the queries -----------------------------------------------------------------------------


def _figures_and_shares() -> tuple[Profiles, Mapping[int, Mapping[int | None, Fraction]]]:
    now = revisions.current()
    return all_profiles(now), lineage.current(now).shares


def _past() -> Past:
    return Past(outcomes_of(), all_signs(), _shortest_days())


def _shortest_days() -> Callable[[int], int]:
    profiles, shares = _figures_and_shares()

    def shortest_days(female: int) -> int:
        return profiles.of(shares.get(female, {})).gestation_shortest_days

    return shortest_days


def _scans(females: Collection[int]) -> dict[int, list[Scan]]:
    found: dict[int, list[Scan]] = defaultdict(list)
    if females:
        rows = Scan.objects.filter(female__in=females, withdrawn_at__isnull=True)
        for scan in rows.order_by("on"):
            found[scan.female_id].append(scan)
    return found


def _together(keys: Collection[int], known: Mapping[int, Animal]) -> Together:
    pairings: dict[int, list[Pairing]] = defaultdict(list)
    animals: dict[int, Animal] = {}
    rows = Pairing.objects.filter(female__in=keys, withdrawn_at__isnull=True)
    for pairing in rows.select_related("male").order_by("introduced_on", "pk"):
        animals[pairing.male_id] = pairing.male
        pairings[pairing.female_id].append(pairing)
    places = places_beside(keys, Animal.Sex.MALE)
    shared: dict[int, list[Shared]] = defaultdict(list)
    met: set[int] = set()
    for one in shared_stretches(places, keys, {place.animal for place in places} - set(keys)):
        shared[one.one].append(one)
        met |= {one.one, one.other}
    animals |= {pk: known[pk] for pk in met & known.keys()}
    missing = met - animals.keys()
    if missing:
        animals |= named(missing)
    profiles, shares = _figures_and_shares()
    return Together(
        females=frozenset(keys),
        pairings=dict(pairings),
        shared=dict(shared),
        animals=animals,
        widths=widths_of(animals[pk] for pk in met),
        figures={pk: profiles.of(shares.get(pk, {})) for pk in met},
        loans=loans_of([*animals.values(), *known.values()]),
    )
