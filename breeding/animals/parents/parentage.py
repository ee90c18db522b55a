"""Which parents are possible: the checks that refuse an impossible parent by name."""

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from django.core.exceptions import ValidationError

from breeding.animals.models import Animal
from breeding.animals.species.profiles import all_profiles
from breeding.program.problems.doubts import threshold
from breeding.words.days import born_words, long_day
from breeding.words.numbers import counted, joined

SPERM_KEPT_DAYS = 30  # assumption; the profile's figure "sperm_kept_days" wins over it


@dataclass(frozen=True)
class Parents:
    """Sire and dam as recorded: one sire, or several possible ones with their shares."""

    sire: Animal | None = None
    dam: Animal | None = None
    possible_sires: tuple[tuple[Animal, Fraction], ...] = ()

    def as_they_stand(self) -> "Parents":
        """The same animals read anew: somebody else may have changed them since. One query."""
        if not self.everyone:
            return self
        now = Animal.every.in_bulk({animal.pk for _, animal in self.everyone})
        return Parents(
            now[self.sire.pk] if self.sire else None,
            now[self.dam.pk] if self.dam else None,
            tuple((now[sire.pk], share) for sire, share in self.possible_sires),
        )

    @property
    def everyone(self) -> list[tuple[str, Animal]]:
        """Each recorded parent with the word for its part."""
        known = [("sire", self.sire), ("dam", self.dam)]
        return [(word, animal) for word, animal in known if animal is not None] + [
            ("possible sire", sire) for sire, _ in self.possible_sires
        ]


@dataclass(frozen=True)
class Young:
    """What the checks need to know of the young animal; `pk` is None for one not yet recorded."""

    name: str
    born_on: datetime.date | None = None
    born_precision: str = Animal.Precision.UNKNOWN
    pk: int | None = None
    gestation_longest_days: int = 180
    sperm_kept_days: int = SPERM_KEPT_DAYS
    descendants: frozenset[int] = field(default_factory=frozenset)
    known_sires: frozenset[int] = field(default_factory=frozenset)
    known_dams: frozenset[int] = field(default_factory=frozenset)


def last_possible_day(born_on: datetime.date | None, precision: str) -> datetime.date | None:
    """The last day on which a birth recorded to the day, month or year can have been."""
    if born_on is None or precision == Animal.Precision.DAY:
        return born_on
    if precision == Animal.Precision.YEAR:
        return datetime.date(born_on.year, 12, 31)
    following = (born_on.replace(day=1) + datetime.timedelta(days=32)).replace(day=1)
    return following - datetime.timedelta(days=1)


def check(young: Young, parents: Parents) -> None:
    """Raise ValidationError, by field, when these cannot be the parents of this animal."""
    problems: dict[str, list[str]] = {}
    for word, parent in parents.everyone:
        where = {"sire": "sire", "dam": "dam", "possible sire": "possible_sires"}[word]
        problems.setdefault(where, []).extend(_with_parent(young, word, parent))
    _twice(parents, problems)
    _shares(parents, problems)
    found = {where: sentences for where, sentences in problems.items() if sentences}
    if found:
        raise ValidationError(found)


def _with_parent(young: Young, word: str, parent: Animal) -> Iterable[str]:
    if young.pk is not None and parent.pk == young.pk:
        yield f"{young.name} cannot be its own {word}."
        return
    if word == "dam" and parent.sex == Animal.Sex.MALE:
        yield f"{parent.name} is recorded as a male; a dam must be female."
    if word != "dam" and parent.sex == Animal.Sex.FEMALE:
        yield f"{parent.name} is recorded as a female; a sire must be male."
    if parent.pk in (young.known_sires if word == "dam" else young.known_dams):
        other = "sire" if word == "dam" else "dam"
        yield (
            f"{parent.name} is named as a {word}, but on record {parent.full_name} is the {other} "
            "of other animals; an animal is one or the other."
        )
    if parent.pk in young.descendants:
        yield (
            f"{parent.name} descends from {young.name}, so {parent.name} cannot be the {word} of "
            f"{young.name}: an animal cannot be among its own ancestors."
        )
    latest = last_possible_day(young.born_on, young.born_precision)
    if latest is None:
        return
    if parent.born_on is not None and parent.born_on >= latest:
        yield (
            f"{parent.name} was born {born_words(parent.born_on, parent.born_precision)}, not "
            f"before {young.name} ({born_words(young.born_on, young.born_precision)}); a {word} "
            "is older than its young."
        )
    elif word == "dam" and is_too_young(parent, latest):
        yield too_young(parent, young.name, young.born_on, young.born_precision)
    if parent.state == Animal.State.DIED and parent.state_on is not None and young.born_on:
        grace = 1 if word == "dam" else young.gestation_longest_days + young.sperm_kept_days
        if young.born_on - parent.state_on > datetime.timedelta(days=grace):
            limit = (
                "a dam lives until the birth"
                if word == "dam"
                else f"a sire can have died at most {counted(grace, 'day')} before the birth (the "
                f"longest gestation, {young.gestation_longest_days} days, and "
                f"{young.sperm_kept_days} days of kept sperm)"
            )
            yield (
                f"{parent.name} died on {long_day(parent.state_on)}, before {young.name} was born "
                f"({born_words(young.born_on, young.born_precision)}); {limit}."
            )


def is_too_young(dam: Animal, on: datetime.date) -> bool:
    """Whether a dam was too young for life to allow it; False while her birth is unknown.

    With a birth date to the month or year, only when she was so on the earliest of its days.
    """
    return dam.born_on is not None and (on - dam.born_on).days < least_age_of_a_dam_days()


def least_age_of_a_dam_days() -> int:
    """As in fixtures/doubts.json, or less where a species of this program is ripe so early.

    By its own figures: mature, and then its shortest gestation. Above it the age is asked about.
    """
    earliest = (
        one.values["mature_female_days"] + one.gestation_shortest_days
        for one in all_profiles().every
        if "mature_female_days" in one.values
    )
    return round(min((threshold("dam_least_age_days"), *earliest)))


def too_young(dam: Animal, name: str, born_on: datetime.date | None, precision: str) -> str:
    """The sentence that refuses it."""
    least = counted(least_age_of_a_dam_days(), "day")
    return (
        f"{dam.name} was born {born_words(dam.born_on, dam.born_precision)}, too short a time "
        f"before {name} ({born_words(born_on, precision)}); a dam is at least {least} old at a "
        "birth."
    )


def _twice(parents: Parents, problems: dict[str, list[str]]) -> None:
    if parents.sire is not None and parents.sire == parents.dam:
        problems.setdefault("dam", []).append(
            f"{parents.dam.name} is given as sire and as dam; the parents are two animals."
        )
    if parents.sire is not None and parents.possible_sires:
        problems.setdefault("possible_sires", []).append(
            f"{parents.sire.name} is given as the sire, so there are no possible sires; "
            "leave one of the two empty."
        )
    seen: set[int] = set()
    for sire, _ in parents.possible_sires:
        if sire.pk in seen:
            problems.setdefault("possible_sires", []).append(
                f"{sire.name} is given twice among the possible sires."
            )
        seen.add(sire.pk)
        if sire == parents.dam:
            problems.setdefault("possible_sires", []).append(
                f"{sire.name} is given as dam and as possible sire."
            )


def _shares(parents: Parents, problems: dict[str, list[str]]) -> None:
    total = sum((share for _, share in parents.possible_sires), Fraction(0))
    if total > 1:
        listed = joined([f"{sire.name} {share}" for sire, share in parents.possible_sires])
        problems.setdefault("possible_sires", []).append(
            f"The shares of the possible sires ({listed}) make {total}; together they are at "
            "most 1."
        )


def check_as_parent(animal: Animal, *, young: Sequence[Animal], as_sire: bool) -> None:
    """Refuse facts about `animal` (sex, birth, death) that its recorded young contradict."""
    word = "sire" if as_sire else "dam"
    forbidden = Animal.Sex.FEMALE if as_sire else Animal.Sex.MALE
    if young and animal.sex == forbidden:
        names = joined([one.name for one in young[:5]])
        more = f" and {len(young) - 5} more" if len(young) > 5 else ""
        raise ValidationError(
            {
                "sex": f"{animal.name} is the {word} of {names}{more}, so it cannot be "
                f"{'female' if as_sire else 'male'}."
            }
        )
    for one in young:
        latest = last_possible_day(one.born_on, one.born_precision)
        if animal.born_on is not None and latest is not None and animal.born_on >= latest:
            raise ValidationError(
                {
                    "born_on": f"{animal.name} is the {word} of {one.name}, born "
                    f"{born_words(one.born_on, one.born_precision)}; it must be born before that."
                }
            )
        if not as_sire and latest is not None and is_too_young(animal, latest):
            raise ValidationError(
                {"born_on": too_young(animal, one.name, one.born_on, one.born_precision)}
            )
