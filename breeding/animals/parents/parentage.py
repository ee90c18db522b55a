"""Which parents are possible: the checks that refuse an impossible parent by name."""

import datetime
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from django.core.exceptions import ValidationError

from breeding.animals.models import Animal
from breeding.animals.species.profiles import all_profiles
from breeding.program.problems.doubts import threshold
from breeding.words.days import born_words, long_day
from breeding.words.language import message, tell, tell_many
from breeding.words.numbers import joined

# Sentences by the part that a parent is named for.
ITS_OWN = {
    "sire": message("{animal} cannot be its own sire."),
    "dam": message("{animal} cannot be its own dam."),
    "possible sire": message("{animal} cannot be its own possible sire."),
}
OTHER_PART = {
    "sire": message(
        "{parent} is named as a sire, but on record {on_record} is the dam of other animals; an "
        "animal is one or the other."
    ),
    "dam": message(
        "{parent} is named as a dam, but on record {on_record} is the sire of other animals; an "
        "animal is one or the other."
    ),
    "possible sire": message(
        "{parent} is named as a possible sire, but on record {on_record} is the dam of other "
        "animals; an animal is one or the other."
    ),
}
DESCENDS = {
    "sire": message(
        "{parent} descends from {young}, so {parent} cannot be the sire of {young}: an animal "
        "cannot be among its own ancestors."
    ),
    "dam": message(
        "{parent} descends from {young}, so {parent} cannot be the dam of {young}: an animal "
        "cannot be among its own ancestors."
    ),
    "possible sire": message(
        "{parent} descends from {young}, so {parent} cannot be the possible sire of {young}: an "
        "animal cannot be among its own ancestors."
    ),
}
NOT_OLDER = {
    "sire": message(
        "{parent} was born {birthday}, not before {young} ({young_birthday}); a sire is older than "
        "its young."
    ),
    "dam": message(
        "{parent} was born {birthday}, not before {young} ({young_birthday}); a dam is older than "
        "its young."
    ),
    "possible sire": message(
        "{parent} was born {birthday}, not before {young} ({young_birthday}); a possible sire is "
        "older than its young."
    ),
}
DAM_DIED = message(
    "{parent} died on {day}, before {young} was born ({birthday}); a dam lives until the birth."
)
SIRE_DIED = message(
    "{parent} died on {day}, before {young} was born ({birthday}); a sire can have died at most "
    "{most_days} days before the birth (the longest gestation, {gestation_days} days, and "
    "{sperm_days} days of kept sperm)."
)
SIRE_OF = message("{animal} is the sire of {young}, so it cannot be female.")
DAM_OF = message("{animal} is the dam of {young}, so it cannot be male.")
SIRE_OF_MORE = message("{animal} is the sire of {young} and {more} more, so it cannot be female.")
DAM_OF_MORE = message("{animal} is the dam of {young} and {more} more, so it cannot be male.")
SIRE_OF_BORN = message(
    "{animal} is the sire of {young}, born {birthday}; it must be born before that."
)
DAM_OF_BORN = message(
    "{animal} is the dam of {young}, born {birthday}; it must be born before that."
)
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
        return self.among(Animal.every.in_bulk({animal.pk for _, animal in self.everyone}))

    def among(self, now: Mapping[int, Animal]) -> "Parents":
        """The same animals as these have them, by key."""
        return Parents(
            now[self.sire.pk] if self.sire else None,
            now[self.dam.pk] if self.dam else None,
            tuple((now[sire.pk], share) for sire, share in self.possible_sires),
        )

    @property
    def everyone(self) -> list[tuple[str, Animal]]:
        """Each recorded parent with its part: sire, dam, possible sire."""
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
        yield tell(ITS_OWN[word], animal=young.name)
        return
    if word == "dam" and parent.sex == Animal.Sex.MALE:
        yield tell("{parent} is recorded as a male; a dam must be female.", parent=parent.name)
    if word != "dam" and parent.sex == Animal.Sex.FEMALE:
        yield tell("{parent} is recorded as a female; a sire must be male.", parent=parent.name)
    if parent.pk in (young.known_sires if word == "dam" else young.known_dams):
        yield tell(OTHER_PART[word], parent=parent.name, on_record=parent.full_name)
    if parent.pk in young.descendants:
        yield tell(DESCENDS[word], parent=parent.name, young=young.name)
    latest = last_possible_day(young.born_on, young.born_precision)
    if latest is None:
        return
    if parent.born_on is not None and parent.born_on >= latest:
        yield tell(
            NOT_OLDER[word],
            parent=parent.name,
            birthday=born_words(parent.born_on, parent.born_precision),
            young=young.name,
            young_birthday=born_words(young.born_on, young.born_precision),
        )
    elif word == "dam" and is_too_young(parent, latest):
        yield too_young(parent, young.name, young.born_on, young.born_precision)
    if parent.state == Animal.State.DIED and parent.state_on is not None and young.born_on:
        grace = 1 if word == "dam" else young.gestation_longest_days + young.sperm_kept_days
        if young.born_on - parent.state_on > datetime.timedelta(days=grace):
            yield tell(
                DAM_DIED if word == "dam" else SIRE_DIED,
                parent=parent.name,
                day=long_day(parent.state_on),
                young=young.name,
                birthday=born_words(young.born_on, young.born_precision),
                most_days=grace,
                gestation_days=young.gestation_longest_days,
                sperm_days=young.sperm_kept_days,
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
    return round(min(threshold("dam_least_age_days"), all_profiles().earliest_birth_days))


def too_young(dam: Animal, name: str, born_on: datetime.date | None, precision: str) -> str:
    """The sentence that refuses it."""
    return tell_many(
        "{dam} was born {birthday}, too short a time before {young} ({young_birthday}); a dam is "
        "at least {number} day old at a birth.",
        "{dam} was born {birthday}, too short a time before {young} ({young_birthday}); a dam is "
        "at least {number} days old at a birth.",
        least_age_of_a_dam_days(),
        dam=dam.name,
        birthday=born_words(dam.born_on, dam.born_precision),
        young=name,
        young_birthday=born_words(born_on, precision),
    )


def _twice(parents: Parents, problems: dict[str, list[str]]) -> None:
    if parents.sire is not None and parents.sire == parents.dam:
        problems.setdefault("dam", []).append(
            tell(
                "{dam} is given as sire and as dam; the parents are two animals.",
                dam=parents.dam.name,
            )
        )
    if parents.sire is not None and parents.possible_sires:
        problems.setdefault("possible_sires", []).append(
            tell(
                "{sire} is given as the sire, so there are no possible sires; leave one of the "
                "two empty.",
                sire=parents.sire.name,
            )
        )
    seen: set[int] = set()
    for sire, _ in parents.possible_sires:
        if sire.pk in seen:
            problems.setdefault("possible_sires", []).append(
                tell("{sire} is given twice among the possible sires.", sire=sire.name)
            )
        seen.add(sire.pk)
        if sire == parents.dam:
            problems.setdefault("possible_sires", []).append(
                tell("{sire} is given as dam and as possible sire.", sire=sire.name)
            )


def _shares(parents: Parents, problems: dict[str, list[str]]) -> None:
    total = sum((share for _, share in parents.possible_sires), Fraction(0))
    if total > 1:
        listed = joined([f"{sire.name} {share}" for sire, share in parents.possible_sires])
        problems.setdefault("possible_sires", []).append(
            tell(
                "The shares of the possible sires ({listed}) make {total}; together they are "
                "at most 1.",
                listed=listed,
                total=total,
            )
        )


def check_as_parent(animal: Animal, *, young: Sequence[Animal], as_sire: bool) -> None:
    """Refuse facts about `animal` (sex, birth, death) that its recorded young contradict."""
    forbidden = Animal.Sex.FEMALE if as_sire else Animal.Sex.MALE
    if young and animal.sex == forbidden:
        names = joined([one.name for one in young[:5]])
        more = len(young) - 5
        if more > 0:
            sentence = SIRE_OF_MORE if as_sire else DAM_OF_MORE
        else:
            sentence = SIRE_OF if as_sire else DAM_OF
        raise ValidationError({"sex": tell(sentence, animal=animal.name, young=names, more=more)})
    for one in young:
        latest = last_possible_day(one.born_on, one.born_precision)
        if animal.born_on is not None and latest is not None and animal.born_on >= latest:
            raise ValidationError(
                {
                    "born_on": tell(
                        SIRE_OF_BORN if as_sire else DAM_OF_BORN,
                        animal=animal.name,
                        young=one.name,
                        birthday=born_words(one.born_on, one.born_precision),
                    )
                }
            )
        if not as_sire and latest is not None and is_too_young(animal, latest):
            raise ValidationError(
                {"born_on": too_young(animal, one.name, one.born_on, one.born_precision)}
            )
