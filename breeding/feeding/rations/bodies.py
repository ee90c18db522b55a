"""How heavy animals are, as far as the records say, and what food that means for them."""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Protocol

from django.db.models import OuterRef, Subquery

from breeding.animals import lineage
from breeding.animals.models import Animal, Measurement, Species
from breeding.animals.species.kinds import words_of_animals
from breeding.animals.species.profiles import Figures, all_profiles
from breeding.feeding.queries import is_young
from breeding.feeding.rations import amounts as rations
from breeding.feeding.rations.amounts import Grams
from breeding.housing.figures import in_tenths
from breeding.program.models import Program
from breeding.program.problems.doubts import threshold, thresholds
from breeding.words.days import short_day
from breeding.words.food import food_span
from breeding.words.language import tell, tell_many
from breeding.words.numbers import per_cent_figure, percent
from breeding.words.sizes import length, weight

Date = datetime.date
ENDS = ("least", "most")


@dataclass(frozen=True)
class Body:
    """One animal: its weight, measured or reckoned from its width (None: nothing is known).

    rests_on: what it rests on, in words. weekly: the food of a week.
    """

    animal: Animal
    grams: Grams | None
    is_from_width: bool
    rests_on: str
    is_young: bool
    weekly: Grams | None
    figures: Figures = field(repr=False)


def bodies_of(
    animals: Sequence[Animal],
    asof: Date,
    *,
    program: Program | None = None,
    measured: Sequence[Measurement] | None = None,
) -> list[Body]:
    """Each of these in their order, sizes said in the program's units: two queries.

    measured: all their measurements, the latest first, where they are read already.
    """
    units = (program.length_unit, program.weight_unit) if program else ("cm", "g")
    if measured is None:
        weights, widths = _latest_sizes([one.pk for one in animals], asof)
    else:
        weights, widths = _latest_of_these(measured, asof)
    profiles, shares = all_profiles(), lineage.current().shares
    by_disc = is_measured_so([one.pk for one in animals])
    found = []
    for animal in animals:
        heavy, wide = weights.get(animal.pk), widths.get(animal.pk)
        figures = profiles.of(shares.get(animal.pk, {}))
        grams, from_width = grams_of(heavy, wide, by_disc)
        width_mm = wide.disc_width_mm if wide else None
        young = is_young(animal.born_on, animal.sex, width_mm, figures, asof)
        found.append(
            Body(
                animal,
                grams,
                from_width,
                _rests_on(heavy, wide, from_width, units, asof),
                young,
                _weekly(grams, figures),
                figures,
            )
        )
    return found


def is_measured_so(keys: Sequence[int], species: Mapping[int, Species] | None = None) -> bool:
    """Whether the size of these is the one that the published pair of figures is for."""
    measured_by = thresholds()["weight_of_width_factor"]["of"]
    return bool(keys) and words_of_animals(keys, species).size == measured_by


def _latest_sizes(
    keys: Sequence[int], asof: Date
) -> tuple[dict[int, Measurement], dict[int, Measurement]]:
    """The latest weight and the latest width of each: two queries."""
    own = Measurement.objects.filter(animal=OuterRef("pk"), on__lte=asof).order_by("-on", "-pk")

    def latest(name: str) -> Subquery:
        return Subquery(own.filter(**{f"{name}__isnull": False}).values("pk")[:1])

    rows = Animal.every.filter(pk__in=keys).values_list(
        "pk", latest("weight_g"), latest("disc_width_mm")
    )
    keys_of = {pk: (heavy, wide) for pk, heavy, wide in rows}
    wanted = {key for pair in keys_of.values() for key in pair if key is not None}
    every = Measurement.objects.in_bulk(wanted) if wanted else {}
    weights = {pk: every[heavy] for pk, (heavy, _) in keys_of.items() if heavy in every}
    widths = {pk: every[wide] for pk, (_, wide) in keys_of.items() if wide in every}
    return weights, widths


def _latest_of_these(
    measured: Sequence[Measurement], asof: Date
) -> tuple[dict[int, Measurement], dict[int, Measurement]]:
    weights: dict[int, Measurement] = {}
    widths: dict[int, Measurement] = {}
    for one in measured:
        if one.on is None or one.on > asof:
            continue
        if one.weight_g is not None:
            weights.setdefault(one.animal_id, one)
        if one.disc_width_mm is not None:
            widths.setdefault(one.animal_id, one)
    return weights, widths


class Weighed(Protocol):
    """What a measurement says, as it is on record or was read of it."""

    @property
    def on(self) -> Date | None: ...
    @property
    def weight_g(self) -> int | None: ...
    @property
    def disc_width_mm(self) -> int | None: ...


def grams_of(
    heavy: Weighed | None, wide: Weighed | None, by_disc: bool
) -> tuple[Grams | None, bool]:
    """From the weight; from the width where there is none, or it is much older than the width."""
    if heavy is not None and heavy.weight_g and not _is_stale(heavy, wide):
        return Grams(heavy.weight_g, heavy.weight_g), False
    if wide is not None and wide.disc_width_mm and by_disc:
        reckoned = rations.weight_of_width(
            wide.disc_width_mm,
            factor=threshold("weight_of_width_factor"),
            power=threshold("weight_of_width_power"),
            doubt=threshold("weight_of_width_doubt_share"),
        )
        return reckoned, True
    if heavy is not None and heavy.weight_g:
        return Grams(heavy.weight_g, heavy.weight_g), False
    return None, False


def _is_stale(heavy: Weighed, wide: Weighed | None) -> bool:
    if wide is None or wide.on is None or heavy.on is None:
        return False
    return (wide.on - heavy.on).days > threshold("weight_beside_width_days")


def _rests_on(
    heavy: Measurement | None,
    wide: Measurement | None,
    from_width: bool,
    units: tuple[str, str],
    asof: Date,
) -> str:
    """ "640 g on 3 Mar", "about what goes with 24 cm on 3 Mar", "weight not known"."""
    if from_width and wide is not None:
        size = length(wide.disc_width_mm, units[0])
        if wide.on is None:
            return tell("what goes with {size}", size=size)
        return tell("what goes with {size} on {day}", size=size, day=short_day(wide.on, asof))
    if heavy is not None:
        size = weight(heavy.weight_g, units[1])
        if heavy.on is None:
            return size
        return tell("{weight} on {day}", weight=size, day=short_day(heavy.on, asof))
    return tell("weight not known")


def _weekly(grams: Grams | None, figures: Figures) -> Grams | None:
    if grams is None:
        return None
    return rations.weekly_ration(
        grams,
        least_share=figures.figure("ration_week_least_share"),
        most_share=figures.figure("ration_week_most_share"),
    )


# -------------------------------------------------------------------------------------- in words


@dataclass(frozen=True)
class Suggestion:
    """What to give these: for one round (in grams, to be chosen), and in words with its grounds."""

    a_round: Grams | None
    words: str
    grounds: tuple[str, ...]
    short: str = ""  # the answer alone: "31 to 46 g a round"

    @property
    def middle_g(self) -> float | None:
        """What is offered as a tile: the middle of the span."""
        if self.a_round is None:
            return None
        return rations.shown((self.a_round.least + self.a_round.most) / 2)


def suggestion_for(bodies: Sequence[Body], *, unit: str, rounds_a_week: float | None) -> Suggestion:
    """The ration of these, given so often; where nothing says how often, that of a week.

    Young ones are fed daily or more: what is said of them is the least.
    """
    weekly, unknown = rations.together([one.weekly for one in bodies])
    if weekly is None:
        words = tell_many(
            "Ration unknown: its weight is not on record, nor a width.",
            "Ration unknown: their weights are not on record, nor a width.",
            len(bodies),
        )
        return Suggestion(None, words, ())
    often = rounds_a_week or _daily(bodies)
    a_round = rations.a_round(weekly, often) if often else None
    short = tell("{food} a week", food=_span(weekly, unit))
    said = short
    if a_round is not None:
        short = tell("{food} a round", food=_span(a_round, unit))
        said = tell(
            "{a_round}, at {rounds} a week ({a_week})",
            a_round=short,
            rounds=_rounds_words(often or 0),
            a_week=said,
        )
    if unknown:
        said = tell(
            "{ration}, without {number} whose weight is not known.", ration=said, number=unknown
        )
        return Suggestion(a_round, said, tuple(_grounds(bodies)), short)
    return Suggestion(a_round, f"{said}.", tuple(_grounds(bodies)), short)


def _rounds_words(rounds: float) -> str:
    """So many a week, which need not be whole.

    >>> _rounds_words(1), _rounds_words(3.5)
    ('1 round', '3.5 rounds')
    """
    shown = in_tenths(rounds)
    return tell_many("{shown} round", "{shown} rounds", 1 if shown == "1" else 2, shown=shown)


def _daily(bodies: Sequence[Body]) -> float | None:
    """How often young ones are to be fed, where all of them are young."""
    if not bodies or not all(one.is_young for one in bodies):
        return None
    return max(one.figures.figure("young_meals_a_week") for one in bodies)


def _span(span: Grams, unit: str) -> str:
    return food_span(rations.shown(span.least), rations.shown(span.most), unit)


def _grounds(bodies: Sequence[Body]) -> list[str]:
    """What it rests on: the shares with their source, weights that are only reckoned, the young."""
    spans = {
        one.figures.key: tuple(one.figures.figure(f"ration_week_{end}_share") for end in ENDS)
        for one in bodies
    }
    sources = {
        one.figures.key: one.figures.sources.get("ration_week_most_share", "assumption")
        for one in bodies
    }
    found = [
        tell(
            "{least} to {most} of body weight a week: {source}.",
            least=per_cent_figure(least),
            most=percent(most),
            source=tell(source),
        )
        for (least, most), source in {spans[key]: sources.get(key, "") for key in spans}.items()
    ]
    by_width = [one for one in bodies if one.is_from_width]
    if by_width:
        found.append(
            tell_many(
                "The weight of {number} animal is estimated from its width, give or take {doubt}: "
                "{source}.",
                "The weight of {number} animals is estimated from their width, give or take "
                "{doubt}: {source}.",
                len(by_width),
                doubt=percent(threshold("weight_of_width_doubt_share")),
                source=tell(str(thresholds()["weight_of_width_factor"]["source"])),
            )
        )
    if any(one.is_young for one in bodies):
        found.append(
            tell(
                "Young ones eat daily or more (common practice, no source), and more for their "
                "weight than grown ones: for them this is the least. Their growth and condition "
                "say the rest."
            )
        )
    return found
