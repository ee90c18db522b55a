"""What speaks against animals in one water, judged from what is known of them; reads nothing.

A pair that meets is judged the same way whether it is about to meet or is together already;
`Company` says which, and in which tank.
"""

import datetime
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal, NamedTuple

from breeding.animals.models import Animal
from breeding.housing.models import Tank
from breeding.pairings.company.known import FEMALE, MALE, Known
from breeding.pairings.season.marks import marks_of
from breeding.program.problems.doubts import threshold
from breeding.words.days import long_day
from breeding.words.descent.kin import closeness
from breeding.words.descent.relations import relation, whose
from breeding.words.language import message, tell, tell_many
from breeding.words.numbers import percent, some

Pair = tuple[Animal, Animal]
Answer = Literal["said", "asked", "reason"]
MOST_NAMED = 6


@dataclass(frozen=True)
class Company:
    """Pairs of animals in one water, each once; `coming`: who of them is about to come there."""

    pairs: Sequence[Pair]
    tank: Tank
    coming: frozenset[int] = frozenset()

    @property
    def is_standing(self) -> bool:
        return not self.coming

    @cached_property
    def animals(self) -> Mapping[int, Animal]:
        return {one.pk: one for pair in self.pairs for one in pair}


@dataclass(frozen=True)
class Concern:
    """One thing that speaks against company.

    kind: "kin", "growing_kin", "pups", "rest", "wound", "birth", "quarantine". answer: whether
    it is only said, asked, or needs a reason. sentences: one for each pair, or one in all.
    leaves: who must be moved, the gentlest on the others. animals: all it is about, `leaves` too.
    key: the same while the same animals stand in the same situation. on: from when on it is so,
    if they are together by then; the first day where nothing says more.
    """

    kind: str
    answer: Answer
    sentences: tuple[str, ...]
    leaves: Animal
    animals: tuple[Animal, ...]
    key: str
    on: datetime.date


def concerns_of(company: Company, known: Known) -> list[Concern]:
    """All that speaks against this company, worst first."""
    kin = _close_kin(company, known)
    return [
        *_pups(company, known),
        *_with_a_male(company, known),
        *_quarantine(company, known),
        *_kin(kin, known),
        *_growing_kin(kin, company.tank, known),
    ]


# ------------------------------------------------------------------------------- who must not meet


def _pups(company: Company, known: Known) -> Iterator[Concern]:
    """Newborn pups with anybody grown but their dam."""
    ages = {pk: _age_days(one, known.on) for pk, one in company.animals.items()}
    newborn = {pk for pk, age in ages.items() if 0 <= age <= threshold("newborn_days")}
    if not newborn:
        return
    grown = {pk for pk, age in ages.items() if age >= threshold("grown_days")}
    met: dict[Animal, list[Animal]] = defaultdict(list)
    for pair in company.pairs:
        for pup, adult in (pair, pair[::-1]):
            if pup.pk in newborn and adult.pk in grown and pup.dam_id != adult.pk:
                met[adult].append(pup)
    for adult, pups in met.items():
        yield Concern(
            kind="pups",
            answer="asked",
            sentences=(_pup_words(adult, pups, company, known),),
            leaves=adult,
            animals=(adult, *pups),
            key=f"{adult.pk}:{max(pup.pk for pup in pups)}",
            on=datetime.date.min,
        )


def _pup_words(adult: Animal, pups: Sequence[Animal], company: Company, known: Known) -> str:
    """One whose age is not known counts as an adult: it is asked, and nothing is guessed of it."""
    named = {
        "adult": adult.name,
        "tank": company.tank,
        "names": some([one.name for one in pups], 3),
        "born": long_day(max(pup.born_on for pup in pups if pup.born_on)),
    }
    number = len(pups)
    if company.is_standing:
        return tell_many(
            "{adult} is in {tank} with {number} newborn pup ({names}, the youngest born on {born});"
            " an adult can bite or crush them.",
            "{adult} is in {tank} with {number} newborn pups ({names}, the youngest born on "
            "{born}); an adult can bite or crush them.",
            number,
            **named,
        )
    if adult.pk in company.coming:
        return tell_many(
            "{adult} joins {number} newborn pup in {tank} on {day} ({names}, the youngest born on "
            "{born}); an adult can bite or crush them.",
            "{adult} joins {number} newborn pups in {tank} on {day} ({names}, the youngest born on "
            "{born}); an adult can bite or crush them.",
            number,
            day=long_day(known.on),
            **named,
        )
    return tell_many(
        "{number} newborn pup ({names}, the youngest born on {born}) would come to {adult} in "
        "{tank}; an adult can bite or crush them.",
        "{number} newborn pups ({names}, the youngest born on {born}) would come to {adult} in "
        "{tank}; an adult can bite or crush them.",
        number,
        **named,
    )


# What is said of a female with a male, while he is there and before he comes.
WITH_A_MALE = {
    "birth": (
        message("{female} is near birth, her window opens on {day}; {male} is with her in {tank}."),
        message(
            "{female} is near birth, her window opens on {day}; {male} would be with her in {tank}."
        ),
    ),
    "wound": (
        message(
            "{female} is wounded, her marks were not healed on {day}; {male} is with her in {tank}."
        ),
        message(
            "{female} is wounded, her marks were not healed on {day}; {male} would be with her in "
            "{tank}."
        ),
    ),
    "rest": (
        message(
            "{female} is meant to rest until {day} after her last birth; {male} is with her in "
            "{tank}."
        ),
        message(
            "{female} is meant to rest until {day} after her last birth; {male} would be with her "
            "in {tank}."
        ),
    ),
}


def _with_a_male(company: Company, known: Known) -> Iterator[Concern]:
    """A female that rests, is wounded or near birth, with a male that could mate her.

    Of marks that are not severe it is asked before he comes to her; once he is there, they are
    looked at again by their degree.
    """
    wounds = known.wounded if company.is_standing else known.marked
    for female, male in _could_mate(company.pairs, known):
        for kind, table in (
            ("birth", known.window_opens),
            ("wound", wounds),
            ("rest", known.resting),
        ):
            if female.pk in table:
                day = table[female.pk]
                now, coming = WITH_A_MALE[kind]
                yield Concern(
                    kind=kind,
                    answer="asked",
                    sentences=(
                        tell(
                            now if company.is_standing else coming,
                            female=female.name,
                            day=long_day(day),
                            male=male.name,
                            tank=company.tank,
                        ),
                    ),
                    leaves=male,
                    animals=(male, female),
                    key=f"{female.pk}:{male.pk}:{day}",
                    on=datetime.date.min,
                )


def _could_mate(pairs: Iterable[Pair], known: Known) -> Iterator[Pair]:
    """Females with males that could mate them by now, in this order."""
    for pair in pairs:
        for one, other in (pair, pair[::-1]):
            if one.sex == FEMALE and other.sex == MALE and known.can_breed(other):
                yield one, other


# -------------------------------------------------------------------------------------- quarantine


def _quarantine(company: Company, known: Known) -> Iterator[Concern]:
    """One whose days in quarantine are not over with others than those it shares them with."""
    if company.is_standing and known.quarantine.keys().isdisjoint(company.animals):
        return
    met: dict[Animal, list[Animal]] = defaultdict(list)
    for pair in company.pairs:
        for one, other in (pair, pair[::-1]):
            if _breaks_quarantine(one, other, company, known):
                met[one].append(other)
    for newcomer, others in met.items():
        mine = known.quarantine.get(newcomer.pk)
        yield Concern(
            kind="quarantine",
            answer="asked",
            sentences=(_quarantine_words(newcomer, others, company, known),),
            leaves=newcomer,
            animals=(newcomer, *others),
            key=f"{newcomer.pk}:{mine.came_on if mine else known.on}",
            on=mine.since if mine else datetime.date.min,
        )


def _breaks_quarantine(one: Animal, other: Animal, company: Company, known: Known) -> bool:
    """Whether `one` is the newcomer whose quarantine, or that of the other, is broken."""
    mine, theirs = known.quarantine.get(one.pk), known.quarantine.get(other.pk)
    if mine and theirs and (mine.tank_id, mine.came_on) == (theirs.tank_id, theirs.came_on):
        return False
    if company.tank.kind == Tank.Kind.QUARANTINE:
        if not company.is_standing:
            return one.pk in company.coming
        return mine is not None and (theirs is None or theirs.came_on < mine.came_on)
    return mine is not None and (theirs is None or theirs.came_on <= mine.came_on)


def _quarantine_words(
    newcomer: Animal, others: Sequence[Animal], company: Company, known: Known
) -> str:
    names = some([one.name for one in others], MOST_NAMED)
    mine = known.quarantine.get(newcomer.pk)
    named = {"newcomer": newcomer.name, "names": names, "tank": company.tank}
    if company.tank.kind == Tank.Kind.QUARANTINE or mine is None:
        days = round(threshold("quarantine_days"))
        if company.is_standing:
            return tell(
                "{newcomer} has joined {names} in quarantine in {tank}: the {days} days begin anew "
                "for all that share the water.",
                **named,
                days=days,
            )
        return tell(
            "{newcomer} joins {names} in quarantine in {tank}: the {days} days begin anew for all "
            "that share the water.",
            **named,
            days=days,
        )
    named |= {"day": long_day(mine.until), "days": mine.days_words}
    if company.is_standing:
        return tell(
            "{newcomer} is in quarantine until {day}, {days}, and is with {names} in {tank}.",
            **named,
        )
    return tell(
        "{newcomer} is in quarantine until {day}, {days}, and would be with {names} in {tank}.",
        **named,
    )


# --------------------------------------------------------------------------------------------- kin


class CloseKin(NamedTuple):
    """Two with F of young they could have."""

    inbreeding: float
    one: Animal
    other: Animal


def _close_kin(company: Company, known: Known) -> list[CloseKin]:
    every = (CloseKin(_worth_naming(*pair, known), *pair) for pair in company.pairs)
    return [one for one in every if one.inbreeding]


def _kin(close: Iterable[CloseKin], known: Known) -> Iterator[Concern]:
    """Kin that could breed by now, under the one that is moved most gently: the male."""
    met: dict[Animal, list[tuple[float, Animal]]] = defaultdict(list)
    for inbreeding, one, other in close:
        if known.can_breed(one) and known.can_breed(other):
            first, second = (other, one) if _goes_before(other, one) else (one, other)
            met[first].append((inbreeding, second))
    for first, kin in met.items():
        kin.sort(key=lambda pair: -pair[0])  # the closest are said first
        worst = kin[0][0]
        yield Concern(
            kind="kin",
            answer="reason" if worst >= known.needs_reason else "asked",
            sentences=tuple(_kin_words(first, other, inbreeding) for inbreeding, other in kin),
            leaves=first,
            animals=(first, *(other for _, other in kin)),
            key=f"{first.pk}:{marks_of(other for _, other in kin)}",
            on=min(known.both_could_breed(first, other) for _, other in kin),
        )


def _worth_naming(one: Animal, other: Animal, known: Known) -> float:
    """F of young the two could have, from the program's caution on; 0 for what is none of that.

    Two that are paired were decided on, with a reason where one was asked for.
    """
    if one.sex == other.sex and one.sex != Animal.Sex.UNKNOWN:
        return 0.0
    if {(one.pk, other.pk), (other.pk, one.pk)} & known.paired:
        return 0.0
    inbreeding = known.inbreeding(one, other)
    return inbreeding if inbreeding >= known.caution else 0.0


def _goes_before(one: Animal, other: Animal) -> bool:
    """Whether `one` is moved more gently: a male, else one that is no female."""
    order = (MALE, Animal.Sex.UNKNOWN, FEMALE)
    return (order.index(one.sex), one.pk) < (order.index(other.sex), other.pk)


def _kin_words(first: Animal, other: Animal, inbreeding: float) -> str:
    """The two with what they are to each other, and F of their young."""
    said = relation(first, other)
    named = {"first": first.name, "other": other.name, "percent": percent(inbreeding)}
    if said:
        return tell(
            "{first} and {whose} {relation} {other} could breed: their young would have F "
            "{percent}.",
            **named,
            whose=whose(first),
            relation=said,
        )
    return tell(
        "{first} and {other}, {closeness}, could breed: their young would have F {percent}.",
        **named,
        closeness=closeness(inbreeding),
    )


def _growing_kin(close: Iterable[CloseKin], tank: Tank, known: Known) -> Iterator[Concern]:
    """Kin of whom one cannot breed yet: from when on the first two could, said beforehand."""
    pairs: list[tuple[datetime.date, float, Animal, Animal]] = []
    for inbreeding, one, other in close:
        first_day = known.both_could_breed(one, other)
        if first_day > known.on:
            pairs.append((first_day, inbreeding, one, other))
    if not pairs:
        return
    pairs.sort(key=lambda pair: (pair[0], -pair[1], pair[2].pk, pair[3].pk))
    on, inbreeding, one, other = pairs[0]
    first, second = (other, one) if _goes_before(other, one) else (one, other)
    growing = list({animal.pk: animal for _, _, *two in pairs for animal in two}.values())
    names = [animal.name for animal in growing]
    yield Concern(
        kind="growing_kin",
        answer="said",
        sentences=(_growing_words(first, second, names, tank, on, inbreeding),),
        leaves=first,
        animals=tuple(growing),
        key=f"{marks_of(growing)}:{on}",
        on=on,
    )


def _growing_words(
    first: Animal,
    second: Animal,
    names: Sequence[str],
    tank: Tank,
    on: datetime.date,
    inbreeding: float,
) -> str:
    """The first two of them, and who else grows up with them."""
    said = relation(first, second)
    named = {
        "first": first.name,
        "second": second.name,
        "tank": tank,
        "day": long_day(on),
        "percent": percent(inbreeding),
        "names": some(names, MOST_NAMED),
        "whose": whose(first),
        "relation": said,
    }
    if said and len(names) > 2:
        return tell(
            "{first} and {whose} {relation} {second} in {tank} could breed from {day}, their young "
            "with F {percent}: part them by sex before ({names}).",
            **named,
        )
    if said:
        return tell(
            "{first} and {whose} {relation} {second} in {tank} could breed from {day}, their young "
            "with F {percent}: part them by sex before.",
            **named,
        )
    if len(names) > 2:
        return tell(
            "{first} and {second}, kin, in {tank} could breed from {day}, their young with F "
            "{percent}: part them by sex before ({names}).",
            **named,
        )
    return tell(
        "{first} and {second}, kin, in {tank} could breed from {day}, their young with F "
        "{percent}: part them by sex before.",
        **named,
    )


def _age_days(animal: Animal, on: datetime.date) -> float:
    """How old it is at the most; endless while that is not known."""
    return float("inf") if animal.born_on is None else (on - animal.born_on).days
