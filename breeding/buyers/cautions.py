"""What speaks against sending an animal on a day, to be read before it goes; of one or of many."""

import datetime
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from breeding.animals import lineage
from breeding.animals.models import Animal
from breeding.animals.species.profiles import all_profiles
from breeding.buyers.models import MOST_HOURS_ON_ONE_OXYGEN
from breeding.gestation.reckoned import Outlook
from breeding.health.hold import Hold
from breeding.housing.models import Stay
from breeding.housing.water.queries import ever_tested
from breeding.litters.queries import growth_lacking_each
from breeding.litters.raising.leaving import not_known_each, unwell_each
from breeding.litters.verdicts.deciding import Decided, decided_of_each
from breeding.pairings.season.maybe import may_have_a_season
from breeding.pairings.season.reading import outlooks_each
from breeding.program.models import Program
from breeding.program.problems.several import read_of
from breeding.program.reference.cautions import cautions
from breeding.words.chances import chance
from breeding.words.days import long_day
from breeding.words.language import tell
from breeding.words.numbers import joined

WORTH_SAYING = 0.02  # from this chance of pups on it is said before she goes; assumption


@dataclass(frozen=True)
class Caution:
    """Something to read before the animal goes, and what it rests on."""

    words: str
    source: str


class Going(NamedTuple):
    """One that is to go on a day; hours: how long it is on the way, where that is known."""

    animal: Animal
    on: datetime.date
    hours: int | None = None


class _Known(NamedTuple):
    """What is on record of one, in words after "it lacks"."""

    growth: tuple[str, ...]
    unwell: tuple[str, ...]
    unknown: tuple[str, ...]
    verdict: Decided


def cautions_before(
    animal: Animal, program: Program, *, on: datetime.date, hours: int | None = None
) -> list[Caution]:
    """What speaks against sending this animal on that day: pregnant, not ready, too long a way."""
    [found] = cautions_of_each([Going(animal, on, hours)], program)
    return found


def cautions_of_each(every: Sequence[Going], program: Program) -> list[list[Caution]]:
    """The same of many, none of them twice, in their order."""
    expecting, others = expecting_of(every, program), not_fit_of(every)
    return [[*expecting[one.animal.pk], *others[one.animal.pk]] for one in every]


def not_fit_of(
    every: Sequence[Going], held: Mapping[int, Sequence[Hold]] | None = None
) -> dict[int, list[Caution]]:
    """All that speaks against it but pregnancy, of each by its key, while all are where they are.

    held: what holds each on its day, where that was asked already. In few queries of those of whom
    little is on record.
    """
    born = {
        one.animal.pk: one.on
        for one in every
        if one.animal.born_on is None or one.animal.born_on <= one.on
    }
    growth, unwell, unknown = (
        growth_lacking_each(born),
        unwell_each(born, held),
        not_known_each(born),
    )
    verdicts = decided_of_each([one.animal.pk for one in every])
    return {
        one.animal.pk: list(
            _not_fit(
                one,
                _Known(
                    growth.get(one.animal.pk, ()),
                    unwell.get(one.animal.pk, ()),
                    unknown.get(one.animal.pk, ()),
                    verdicts[one.animal.pk],
                ),
            )
        )
        for one in every
    }


def expecting_of(every: Sequence[Going], program: Program) -> dict[int, list[Caution]]:
    """Of each, by its key, that she may be pregnant on the day she goes; in few queries.

    Asked as of that day, so that those of them who go then or later may be on record as gone: each
    was where it was until then.
    """
    days = {one.animal: one.on for one in every}
    some = may_have_a_season(days)
    found: dict[int, list[Caution]] = {one.animal.pk: [] for one in every}
    asked = {one: on for one, on in days.items() if one.pk in some}
    outlooks = outlooks_each(program, asked) if asked else {}
    source = tell("common practice, no source; the chance is worked out here")
    for animal in asked:
        if words := _pregnancy_words(animal, outlooks[animal.pk]):
            found[animal.pk].append(Caution(words, source))
    return found


def _not_fit(going: Going, known: _Known) -> Iterator[Caution]:
    name, hours = going.animal.name, going.hours
    if known.growth:
        yield Caution(
            tell(
                "{animal} is not old and large enough to leave: {lacks}.",
                animal=name,
                lacks=joined(list(known.growth)),
            ),
            tell("the species' figures; common practice, no source"),
        )
    if known.unwell:
        yield Caution(
            tell(
                "{animal} is not fit to leave: it lacks {lacks}.",
                animal=name,
                lacks=joined(list(known.unwell)),
            ),
            tell("this program's records; the species' figures"),
        )
    if known.unknown:
        yield Caution(
            tell(
                "It is not known of {animal} {unknown}.",
                animal=name,
                unknown=joined(list(known.unknown)),
            ),
            tell("this program's records; the species' figures"),
        )
    if known.verdict.is_withheld:
        words = tell("{animal}: {verdict}.", animal=name, verdict=known.verdict.words)
        yield Caution(words, tell("this program's records"))
    if hours is not None and hours > MOST_HOURS_ON_ONE_OXYGEN:
        (sentence,) = cautions()["oxygen"].sentences
        yield Caution(
            tell("{hours} hours on the way. {caution}", hours=hours, caution=tell(sentence.text)),
            tell(sentence.source),
        )


def _pregnancy_words(animal: Animal, ahead: Outlook) -> str:
    """Empty where no company and no sign speaks for pups."""
    if ahead.chance < WORTH_SAYING:
        return ""
    due = ahead.announced
    if due is None:
        return tell(
            "Never ship a pregnant female. The chance that {animal} is pregnant is {chance}. "
            "Wait, or have her scanned.",
            animal=animal.name,
            chance=chance(ahead.chance),
        )
    return tell(
        "Never ship a pregnant female. The chance that {animal} is pregnant is {chance}, due "
        "{first} to {last} if she is. Wait, or have her scanned.",
        animal=animal.name,
        chance=chance(ahead.chance),
        first=long_day(due.p05),
        last=long_day(due.p95),
    )


def beside_others(
    asked: Mapping[Animal, datetime.date],
) -> tuple[set[int], dict[int, set[int]]]:
    """Of whom the cautions rest on what others do meanwhile, where many go one after the other.

    asked: until when each is asked about.

    By key: those that are on record as gone while a stay of theirs is open, and those that were
    moved on the very day; and of whoever was ever in tested water where several species were, the
    tanks, as what their water is to be depends on who is in it.
    """
    every = {one.pk: one for one in asked}
    found, tanks = set[int](), dict[int, set[int]]()
    for stay in read_of(Stay.objects.all(), "animal", every):
        one = every[stay.animal_id]
        if (stay.until is None and not one.is_here) or stay.since == asked[one]:
            found.add(one.pk)
    for stay in read_of(Stay.objects.filter(ever_tested()), "animal", every):
        tanks.setdefault(stay.animal_id, set()).add(stay.tank_id)
    mixed = _of_several_species({tank for its_own in tanks.values() for tank in its_own})
    return found, {key: its_own & mixed for key, its_own in tanks.items() if its_own & mixed}


def _of_several_species(tanks: Collection[int]) -> set[int]:
    """Those of these tanks in which animals with other figures were, at whatever time."""
    shares, profiles = lineage.current().shares, all_profiles()
    found: dict[int, set[str]] = {}
    for stay in read_of(Stay.objects.all(), "tank", tanks):
        figures = profiles.of(shares.get(stay.animal_id, {}))
        found.setdefault(stay.tank_id, set()).add(figures.key)
    return {tank for tank, kinds in found.items() if len(kinds) > 1}
