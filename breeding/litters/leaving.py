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
from breeding.feeding.queries import appetites, feeding_since
from breeding.health.holds import holds_on
from breeding.health.illness.standing import ailing
from breeding.housing.models import Stay
from breeding.housing.queries import stays_over
from breeding.housing.water.queries import water_fits
from breeding.pairings.care.healing import OpenWound, open_harm
from breeding.pairings.models import Outcome
from breeding.words.days import long_day
from breeding.words.numbers import counted, percent

Date = datetime.date
Lacking = dict[int, list[str]]  # by animal
Source = Callable[[Collection[int], Date], Lacking]


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
        for key, said in answer.items():
            found.setdefault(key, []).extend(said)
    return {key: tuple(said) for key, said in found.items()}


def measurements_of(keys: Collection[int]) -> list[Measurement]:
    """All of these animals, oldest first, those of no day before them: one query."""
    rows = Measurement.objects.filter(animal__in=keys).order_by("on", "pk")
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
    rows = Outcome.objects.filter(
        female__in=keys, withdrawn_at__isnull=True, kind__in=Outcome.BIRTHS, on__lte=asof
    )
    return dict(rows.order_by("on").values_list("female", "on"))


def _figures(keys: Collection[int]) -> dict[int, Figures]:
    profiles = all_profiles()
    shares: Mapping[int, Mapping[int | None, Fraction]] = lineage.current().shares
    return {key: profiles.of(shares.get(key, {})) for key in keys}


def _condition(row: Measurement | None, figures: Figures) -> Iterable[str]:
    least = round(figures.figure("leave_least_condition"))
    if row is not None and row.condition is not None and row.condition < least:
        on = f" on {long_day(row.on)}" if row.on else ""
        yield f"condition {least} or better ({row.condition} of 5{on})"


def _weight(
    weights: list[tuple[Date, int]], birth: Date | None, figures: Figures, asof: Date
) -> Iterable[str]:
    loss = weight_loss(weights, asof=asof, after=birth)
    if loss is not None and loss.share >= figures.figure("leave_most_loss_share"):
        lost = percent(round(loss.share, 3))
        yield f"its weight back ({lost} lost since {long_day(loss.heaviest_on)})"


def _harm(keys: Collection[int], asof: Date) -> Lacking:
    """Marks not seen healed, and food not seen taken again."""
    found: Lacking = {}
    for key, harm in open_harm(keys, asof=asof).items():
        if harm.wound and harm.wound.is_more_than_light:
            found.setdefault(key, []).append(_healed(harm.wound))
        if harm.fast:
            since = long_day(harm.fast.since)
            found.setdefault(key, []).append(f"food taken again (refused since {since})")
    return found


def _healed(wound: OpenWound) -> str:
    return f"healed marks ({wound.degree_words}, looked at on {long_day(wound.looked_on)})"


def _place(keys: Collection[int], asof: Date) -> Lacking:
    """Water that is not fit."""
    rows = stays_over(asof).filter(animal__in=keys).select_related("tank")
    stays: dict[int, Stay] = {one.animal_id: one for one in rows}
    tanks = {stay.tank_id: stay.tank for stay in stays.values()}
    water = water_fits(tanks.values(), asof) if tanks else {}
    found: Lacking = {}
    for key, stay in stays.items():
        tank = tanks[stay.tank_id]
        if water[tank.pk].fit is False:
            said = water[tank.pk].because.rstrip(".")
            found.setdefault(key, []).append(f"fit water (in {tank}: {said})")
    return found


def _feeding(keys: Collection[int], asof: Date) -> Lacking:
    """Young ones that have not fed by themselves for long enough; silent where nothing is known.

    One that refuses now is told by `_harm`.
    """
    found: Lacking = {}
    eating = appetites(keys, asof)
    for key, since in feeding_since(keys, asof).items():
        if not eating[key].is_young or eating[key].is_off_food:
            continue
        least = round(_figures([key])[key].figure("leave_feeding_days"))
        if since is None:
            found[key] = [f"feeding by itself for {counted(least, 'day')} (no meal is on record)"]
        elif (asof - since).days < least:
            said = f"feeding by itself for {counted(least, 'day')} (since {long_day(since)})"
            found[key] = [said]
    return found


def _held(keys: Collection[int], asof: Date) -> Lacking:
    """What must not be sold yet: treated, or kept apart."""
    return {
        key: [f"the end of its hold (it {one.in_words})" for one in holds if "sell" in one.forbids]
        for key, holds in holds_on(keys, asof).items()
    }


def _ails(keys: Collection[int], asof: Date) -> Lacking:
    """What was seen of it and not seen to be over."""
    return {
        key: [f"to be well ({one.words})" for one in seen]
        for key, seen in ailing(keys, asof).items()
    }


def _bound(keys: Collection[int], asof: Date) -> Lacking:
    """One that belongs to somebody else is not this program's to give away."""
    return {key: ["the leave of its owner (it is here on loan)"] for key in bound(keys)}


# Every door (litters, the day, sales pages, hand-over, waiting list) says what these say.
SOURCES: tuple[Source, ...] = (_harm, _feeding, _place, _held, _ails, _bound)


def unwell_of(animal: Animal, *, asof: Date) -> tuple[str, ...]:
    """What one animal lacks beside age and width, any animal, not only a pup."""
    return unwell([animal.pk], asof=asof).get(animal.pk, ())
