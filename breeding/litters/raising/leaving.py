"""Why an animal is not to leave now, whatever its age and size; writes nothing.

Each source answers for many animals at once: the words that a page says after "it lacks". One
that is not on record speaks neither for it nor against it.
"""

import datetime
from collections.abc import Callable, Collection, Iterable, Mapping
from fractions import Fraction

from breeding.animals import lineage
from breeding.animals.away.bound import bound
from breeding.animals.growth.weight import weight_loss
from breeding.animals.models import Animal, Measurement
from breeding.animals.species.profiles import Figures, all_profiles
from breeding.feeding.appetite import Appetite
from breeding.feeding.queries import appetites, appetites_each, eating_on_record, feeding_since
from breeding.health.hold import Hold
from breeding.health.holds import holds_on, may_be_held
from breeding.health.illness.standing import ailing
from breeding.health.models import Observation
from breeding.housing.models import Stay
from breeding.housing.stays.lately import in_tanks_of
from breeding.housing.water.queries import ever_tested, water_fits
from breeding.pairings.care.healing import OpenWound, may_be_harmed, open_harm
from breeding.pairings.outcomes import births_of_all
from breeding.program.parts import alike
from breeding.program.problems.several import named_in, read_of
from breeding.words.days import long_day
from breeding.words.language import tell
from breeding.words.numbers import percent

Date = datetime.date
Lacking = dict[int, list[str]]  # by animal
Source = Callable[[Collection[int], Date], Lacking]
Telling = Callable[[Collection[int]], Collection[int]]


class LearnsToFeed(str):
    """That one has not fed by itself for long enough, which every pup lacks once."""

    __slots__ = ()


def unwell(
    animals: Iterable[int], *, asof: Date, measured: Iterable[Measurement] | None = None
) -> dict[int, tuple[str, ...]]:
    """What each of these lacks beside age and width; those that lack nothing are left out.

    measured: all their measurements, where they are read already. A constant number of queries.
    """
    keys = set(animals)
    found: Lacking = {}
    if not keys:
        return {}
    rows = measurements_of(keys) if measured is None else measured
    for answer in (_body(keys, asof, rows), *(source(keys, asof) for source in SOURCES)):
        _add(found, answer)
    return {key: tuple(said) for key, said in found.items()}


def unwell_each(
    asked: Mapping[int, Date], held: Mapping[int, Iterable[Hold]] | None = None
) -> dict[int, tuple[str, ...]]:
    """The same of each as of a day of its own, each source asked only of those it may speak of.

    held: what holds each on its day, where that was asked already.
    """
    found: Lacking = {}
    keys = list(asked)
    measured: dict[int, list[Measurement]] = {}
    for row in measurements_of(keys):
        measured.setdefault(row.animal_id, []).append(row)
    for asof, some in alike(asked, measured):
        rows = [row for key in some for row in measured[key]]
        _add(found, _body(some, asof, rows))
    for source, may_speak_of in SOURCES.items():
        if held is not None and source is _held:
            _add(found, _held_words({key: held[key] for key in keys if held.get(key)}))
            continue
        for asof, some in alike(asked, may_speak_of(keys)):
            _add(found, source(some, asof))
    return {key: tuple(said) for key, said in found.items()}


def _add(found: Lacking, more: Lacking) -> None:
    for key, said in more.items():
        found.setdefault(key, []).extend(said)


def measurements_of(keys: Collection[int]) -> list[Measurement]:
    """All of these animals, oldest first, those of no day before them: few queries."""
    rows = read_of(Measurement.objects.order_by("on", "pk"), "animal", keys)
    return sorted(rows, key=lambda one: one.on or Date.min)


def _body(keys: Collection[int], asof: Date, rows: Iterable[Measurement]) -> Lacking:
    """Condition and weight, by the latest measurement of each."""
    conditions: dict[int, Measurement] = {}
    weights: dict[int, list[tuple[Date, int]]] = {}
    for row in rows:
        if row.on is not None and row.on > asof:
            continue
        if row.condition:
            conditions[row.animal_id] = row
        if row.weight_g and row.on:
            weights.setdefault(row.animal_id, []).append((row.on, row.weight_g))
    weighed = [key for key, rows_of_one in weights.items() if len(rows_of_one) > 1]
    births = _births(weighed, asof) if weighed else {}
    figures = _figures(keys)
    found: Lacking = {}
    for key in keys:
        said = [
            *_condition(conditions.get(key), figures[key]),
            *_weight(weights.get(key, []), births.get(key), figures[key], asof),
        ]
        if said:
            found[key] = said
    return found


def _births(keys: Collection[int], asof: Date) -> dict[int, Date]:
    """The day of the last birth of each, after which she weighs less."""
    births = births_of_all(keys)
    return {birth.female_id: birth.on for birth in births if birth.on <= asof}


def _figures(keys: Collection[int]) -> dict[int, Figures]:
    profiles = all_profiles()
    shares: Mapping[int, Mapping[int | None, Fraction]] = lineage.current().shares
    return {key: profiles.of(shares.get(key, {})) for key in keys}


def _condition(row: Measurement | None, figures: Figures) -> Iterable[str]:
    least = round(figures.figure("leave_least_condition"))
    if row is not None and row.condition is not None and row.condition < least:
        named = {"least": least, "condition": row.condition}
        if row.on:
            yield tell(
                "condition {least} or better ({condition} of 5 on {day})",
                **named,
                day=long_day(row.on),
            )
        else:
            yield tell("condition {least} or better ({condition} of 5)", **named)


def _weight(
    weights: list[tuple[Date, int]], birth: Date | None, figures: Figures, asof: Date
) -> Iterable[str]:
    loss = weight_loss(weights, asof=asof, after=birth)
    if loss is not None and loss.share >= figures.figure("leave_most_loss_share"):
        lost = percent(round(loss.share, 3))
        yield tell(
            "its weight back ({lost} lost since {day})", lost=lost, day=long_day(loss.heaviest_on)
        )


def _harm(keys: Collection[int], asof: Date) -> Lacking:
    """Marks not seen healed, and food not seen taken again."""
    found: Lacking = {}
    for key, harm in open_harm(keys, asof=asof).items():
        if harm.wound and harm.wound.is_more_than_light:
            found.setdefault(key, []).append(_healed(harm.wound))
        if harm.fast:
            since = long_day(harm.fast.since)
            found.setdefault(key, []).append(
                tell("food taken again (refused since {since})", since=since)
            )
    return found


def _healed(wound: OpenWound) -> str:
    return tell(
        "healed marks ({degree}, looked at on {day})",
        degree=wound.degree_words,
        day=long_day(wound.looked_on),
    )


def _place(keys: Collection[int], asof: Date) -> Lacking:
    """Water that is not fit."""
    stays: dict[int, Stay] = {one.animal_id: one for one in in_tanks_of(keys, asof)}
    tanks = {stay.tank_id: stay.tank for stay in stays.values()}
    water = water_fits(tanks.values(), asof) if tanks else {}
    found: Lacking = {}
    for key, stay in stays.items():
        tank = tanks[stay.tank_id]
        if water[tank.pk].fit is False:
            said = water[tank.pk].because.rstrip(".")
            found.setdefault(key, []).append(
                tell("fit water (in {tank}: {because})", tank=tank, because=said)
            )
    return found


def _feeding(keys: Collection[int], asof: Date) -> Lacking:
    """Young ones that have not fed by themselves for long enough; silent where nothing is known.

    One that refuses now is told by `_harm`.
    """
    found: Lacking = {}
    eating = appetites(keys, asof)
    known = {
        key: since
        for key, since in feeding_since(keys, asof).items()
        if eating[key].is_young and not eating[key].is_off_food
    }
    figures = _figures(known) if known else {}
    for key, since in known.items():
        least = round(figures[key].figure("leave_feeding_days"))
        if since is None:
            found[key] = [
                LearnsToFeed(
                    tell("feeding by itself for {days} days (no meal is on record)", days=least)
                )
            ]
        elif (asof - since).days < least:
            said = tell(
                "feeding by itself for {days} days (since {since})",
                days=least,
                since=long_day(since),
            )
            found[key] = [LearnsToFeed(said)]
    return found


def not_known(keys: Iterable[int], asof: Date) -> dict[int, tuple[str, ...]]:
    """Of young ones without a meal on record: that nobody knows whether they feed by themselves.

    It stands in no one's way, and is asked before one leaves. Of one that is younger than that
    its age says it.
    """
    keys = list(keys)
    return _not_known(appetites(keys, asof), dict.fromkeys(keys, asof))


def not_known_each(asked: Mapping[int, Date]) -> dict[int, tuple[str, ...]]:
    """The same of each as of a day of its own."""
    return _not_known(appetites_each(asked), asked)


def _not_known(
    eating: Mapping[int, Appetite], asked: Mapping[int, Date]
) -> dict[int, tuple[str, ...]]:
    silent = {key: one for key, one in eating.items() if one.is_young and not one.has_meals}
    figures = _figures(silent) if silent else {}
    said: dict[int, tuple[str, ...]] = {}
    for key, one in silent.items():
        least = round(figures[key].figure("leave_feeding_days"))
        if one.born_on is None or (asked[key] - one.born_on).days >= least:
            words = tell(
                "whether it feeds by itself for {days} days (no meal is on record)", days=least
            )
            said[key] = (words,)
    return said


def _held(keys: Collection[int], asof: Date) -> Lacking:
    """What must not be sold yet: treated, or kept apart."""
    return _held_words(holds_on(keys, asof))


def _held_words(held: Mapping[int, Iterable[Hold]]) -> Lacking:
    return {
        key: [
            tell("the end of its hold (it {held})", held=one.in_words)
            for one in holds
            if "sell" in one.forbids
        ]
        for key, holds in held.items()
    }


def _ails(keys: Collection[int], asof: Date) -> Lacking:
    """What was seen of it and not seen to be over."""
    return {
        key: [tell("to be well ({seen})", seen=one.words) for one in seen]
        for key, seen in ailing(keys, asof).items()
    }


def _bound(keys: Collection[int], asof: Date) -> Lacking:
    """One that belongs to somebody else is not this program's to give away."""
    return {key: [tell("its owner's consent (it is here on loan)")] for key in bound(keys)}


def in_tested_water(keys: Collection[int]) -> set[int]:
    """Those of these that were ever in water that was tested at any time."""
    return named_in(Stay.objects.filter(ever_tested()), "animal", keys)


# Each beside those of whom it can say anything at all, on whatever day. Every door (litters, the
# day, sales pages, hand-over, waiting list) says what these say.
SOURCES: Mapping[Source, Telling] = {
    _harm: may_be_harmed,
    _feeding: eating_on_record,
    _place: in_tested_water,
    _held: may_be_held,
    _ails: lambda keys: named_in(Observation.objects.all(), "animal", keys),
    _bound: bound,
}


def unwell_of(animal: Animal, *, asof: Date) -> tuple[str, ...]:
    """What one animal lacks beside age and width, any animal, not only a pup."""
    return unwell([animal.pk], asof=asof).get(animal.pk, ())
