"""What speaks against sending an animal on a day, to be read before it goes; of one or of many."""

import datetime
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from breeding.animals.models import Animal
from breeding.buyers.models import MOST_HOURS_ON_ONE_OXYGEN
from breeding.health.quarantine import may_be_apart
from breeding.housing.models import Stay
from breeding.housing.water.queries import ever_tested
from breeding.litters.queries import growth_lacking_each
from breeding.litters.raising.leaving import not_known_each, unwell_each
from breeding.litters.verdicts.deciding import Decided, decided_of_each
from breeding.pairings.season.maybe import may_have_a_season
from breeding.pairings.season.reading import season_of
from breeding.program.models import Program
from breeding.program.problems.several import named_in, read_of
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
    """What is on record of one, in words after "it lacks"; pregnancy: the whole sentence."""

    pregnancy: str
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
    """The same of many, none of them twice, in their order.

    In few queries of those of whom little is on record, and in some for each that had a season.
    """
    with_a_season = may_have_a_season({one.animal: one.on for one in every})
    born = {
        one.animal.pk: one.on
        for one in every
        if one.animal.born_on is None or one.animal.born_on <= one.on
    }
    growth, unwell, unknown = growth_lacking_each(born), unwell_each(born), not_known_each(born)
    verdicts = decided_of_each([one.animal.pk for one in every])
    return [
        list(
            _cautions(
                one,
                _Known(
                    _pregnancy_words(one, program) if one.animal.pk in with_a_season else "",
                    growth.get(one.animal.pk, ()),
                    unwell.get(one.animal.pk, ()),
                    unknown.get(one.animal.pk, ()),
                    verdicts[one.animal.pk],
                ),
            )
        )
        for one in every
    ]


def _cautions(going: Going, known: _Known) -> Iterator[Caution]:
    name, hours = going.animal.name, going.hours
    if known.pregnancy:
        yield Caution(
            known.pregnancy, tell("common practice, no source; the chance is worked out here")
        )
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


def _pregnancy_words(going: Going, program: Program) -> str:
    """Empty where no company and no sign speaks for pups."""
    animal = going.animal
    est = season_of(animal, program, asof=going.on).estimate
    if est.chance < WORTH_SAYING:
        return ""
    due = est.announced
    if due is None:
        return tell(
            "Never ship a pregnant female. The chance that {animal} is pregnant is {chance}. "
            "Wait, or have her scanned.",
            animal=animal.name,
            chance=chance(est.chance),
        )
    return tell(
        "Never ship a pregnant female. The chance that {animal} is pregnant is {chance}, due "
        "{first} to {last} if she is. Wait, or have her scanned.",
        animal=animal.name,
        chance=chance(est.chance),
        first=long_day(due.p05),
        last=long_day(due.p95),
    )


def beside_others(
    asked: Mapping[Animal, datetime.date],
) -> tuple[set[int], dict[int, set[int]]]:
    """Of whom the cautions rest on what others do meanwhile, where many go one after the other.

    asked: until when each is asked about.

    By key: those whose season rests on company or who may be in quarantine, and those that are on
    record as gone while a stay of theirs is open; and of whoever was ever in water that was
    tested, the tanks, as what their water is to be depends on who is in it.
    """
    every = [one.pk for one in asked]
    gone = [one.pk for one in asked if not one.is_here]
    found = (
        may_have_a_season(asked)
        | may_be_apart(every)
        | named_in(Stay.objects.filter(until__isnull=True), "animal", gone)
    )
    tanks: dict[int, set[int]] = {}
    for stay in read_of(Stay.objects.filter(ever_tested()), "animal", every):
        tanks.setdefault(stay.animal_id, set()).add(stay.tank_id)
    return found, tanks
