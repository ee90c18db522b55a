"""Whom a picture is like: the album of all spots on record, and the likeliest of it."""

import datetime
from collections.abc import Iterable
from dataclasses import dataclass

from breeding.animals import lineage
from breeding.animals.models import Animal, Photograph
from breeding.animals.species.profiles import Figures, all_profiles
from breeding.identity.arrays import Floats, spots_of
from breeding.identity.models import PatternReading, UntoldPicture, of_picture
from breeding.spots import Reason, likeliest, partners, untold
from breeding.spots.evidence import HALVING_MONTHS
from breeding.words.numbers import percent

Date = datetime.date
MONTH_DAYS = 30.4375
UNDATED_MONTHS = 24.0  # a picture without a day counts as one of two years ago
SHOWN = 3
NAMED = 0.95  # from this chance on one name stands in the heading
MOST_CHANCE = 0.999  # never told as more: nothing here was tried on enough photographs for it


@dataclass(frozen=True)
class Known:
    """One picture on record with its spots."""

    photograph_pk: int
    animal_pk: int
    taken_on: Date | None
    spots: Floats


@dataclass(frozen=True)
class Likeness:
    """One animal that a picture may be of, and which spots say so.

    pairs: rows of the spots seen and of the spots of `reading`, which agree.
    """

    animal: Animal
    chance: float
    reading: PatternReading
    pairs: tuple[tuple[int, int], ...]

    @property
    def chance_words(self) -> str:
        return percent(min(self.chance, MOST_CHANCE))


@dataclass(frozen=True)
class Answer:
    """What the spots of one picture say.

    reason: why nothing can be told, if so. likenesses: the likeliest, best first. nobody: the
    chance that the animal is not on record. compared: how many animals have spots on record.
    """

    reason: Reason | None
    likenesses: tuple[Likeness, ...]
    nobody: float
    compared: int

    @property
    def named(self) -> Likeness | None:
        """The one that can be named; None where several, or nobody, are as likely."""
        first = self.likenesses[0] if self.likenesses else None
        return first if first and first.chance >= NAMED and self.reason != "few" else None

    @property
    def nobody_words(self) -> str:
        return percent(min(self.nobody, MOST_CHANCE))


def pattern_of(subject: Photograph | UntoldPicture) -> PatternReading | None:
    """What was read of this picture; None: its disc is not marked yet."""
    return PatternReading.objects.filter(**of_picture(subject)).first()


def album(*, besides: int | None = None) -> list[Known]:
    """Every picture on record whose spots serve, but for this photograph. One query."""
    rows = PatternReading.objects.filter(
        is_used=True,
        photograph__withdrawn_at__isnull=True,
        photograph__animal__withdrawn_at__isnull=True,
    )
    found = rows.exclude(photograph__isnull=True).values_list(
        "photograph_id", "photograph__animal_id", "photograph__taken_on", "spots"
    )
    return [
        Known(photograph, animal, taken_on, spots_of(spots))
        for photograph, animal, taken_on, spots in found
        if photograph != besides
    ]


def months_between(one: Date | None, other: Date | None) -> float:
    """Months from one day to another, whichever comes first.

    >>> round(months_between(Date(2026, 1, 1), Date(2027, 1, 1)))
    12
    """
    if one is None or other is None:
        return UNDATED_MONTHS
    return abs((one - other).days) / MONTH_DAYS


def answer_of(pattern: PatternReading, taken_on: Date | None) -> Answer:
    """Whom this picture is like, of every animal with spots on record. Four queries at most."""
    known = album(besides=pattern.photograph_id)
    pictures: dict[int, list[Known]] = {}
    for one in known:
        pictures.setdefault(one.animal_pk, []).append(one)
    ages = _ages(pictures)
    aged = {
        animal: [(months_between(taken_on, one.taken_on) * ages[animal], one.spots) for one in ones]
        for animal, ones in pictures.items()
    }
    reading = pattern.reading()
    reason = untold(reading)
    ranked = likeliest(reading.spots, aged, dim=reason == "dim")
    nobody = next(chance for animal, chance in ranked if animal is None)
    best = [(animal, chance) for animal, chance in ranked if animal is not None][:SHOWN]
    agreeing = {animal: partners(reading.spots, aged[animal]) for animal, _ in best}
    pks = {
        animal: pictures[animal][found.picture].photograph_pk
        for animal, found in agreeing.items()
        if found is not None
    }
    readings = PatternReading.objects.filter(photograph__in=pks.values())
    by_photograph = {
        one.photograph_id: one for one in readings.select_related("photograph__animal")
    }
    likenesses = []
    for animal, chance in best:
        found = agreeing[animal]
        if found is None:
            continue
        other = by_photograph[pks[animal]]
        assert other.photograph is not None  # noqa: S101 - asked for by its photograph
        pairs = tuple((int(seen), int(kept)) for seen, kept in found.pairs)
        likenesses.append(Likeness(other.photograph.animal, chance, other, pairs))
    return Answer(reason, tuple(likenesses), nobody, len(pictures))


def _ages(animals: Iterable[int]) -> dict[int, float]:
    """By how much faster the pattern of each changes than `likeliest` takes it to.

    By the figure of its species, "An old picture tells half as well after"; no query where it is
    read already.
    """
    profiles, shares = all_profiles(), lineage.current().shares
    usual = HALVING_MONTHS * MONTH_DAYS
    return {
        animal: usual / profiles.of(shares.get(animal, {})).figure("pattern_halving_days")
        for animal in animals
    }


@dataclass(frozen=True)
class Wanted:
    """An animal whose spots are not on record, or only as they were long ago.

    fresh_days: how long a picture of it tells it, at its age, by the figure of `figures_of`.
    """

    animal: Animal
    latest_on: Date | None
    photograph_pk: int | None  # one that only needs its disc marked
    fresh_days: int
    figures_of: str


def fresh_days(animal: Animal, figures: Figures, today: Date) -> int:
    """How long a picture of it tells it: patterns change while a ray grows, by its species."""
    young_days = figures.figure("pattern_young_days")
    if animal.born_on is not None and (today - animal.born_on).days < young_days:
        return int(figures.figure("young_pattern_fresh_days"))
    return int(figures.figure("pattern_fresh_days"))


def wanted(animals: list[Animal], today: Date) -> list[Wanted]:
    """Of these animals, those of whom an identity picture is missing or old. Two queries.

    What is old is a figure of the species; the usual one where the species is not known.
    """
    profiles, shares = all_profiles(), lineage.current().shares
    pks = [one.pk for one in animals]
    latest: dict[int, Date | None] = {}
    marked: set[int] = set()
    for animal, photograph, taken_on in PatternReading.objects.filter(
        photograph__animal__in=pks, photograph__withdrawn_at__isnull=True, is_used=True
    ).values_list("photograph__animal_id", "photograph_id", "photograph__taken_on"):
        marked.add(photograph)
        latest[animal] = max(filter(None, (latest.get(animal), taken_on)), default=None)
    free: dict[int, int] = {}
    for animal, photograph in (
        Photograph.objects.filter(animal__in=pks, is_drawing=False, pattern__isnull=True)
        .order_by("taken_on", "pk")
        .values_list("animal_id", "pk")
    ):
        free[animal] = photograph
    found = []
    for one in animals:
        on = latest.get(one.pk)
        figures = profiles.of(shares.get(one.pk, {}))
        days = fresh_days(one, figures, today)
        if on is None or (today - on).days > days:
            found.append(Wanted(one, on, free.get(one.pk), days, figures.label))
    return found
