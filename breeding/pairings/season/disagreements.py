"""Where tanks and pairings say different things of who is together, and what to do about it."""

import datetime
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from breeding.animals import lineage
from breeding.animals.around import everybody_around
from breeding.animals.models import Animal
from breeding.housing.models import Stay
from breeding.housing.stays.shared_water import share_water
from breeding.pairings.models import Pairing
from breeding.pairings.season.exposure import DAY, Exposure, Span, exposure_of, maturity_of
from breeding.pairings.season.facts import HERE, females_here, gather_together, places_on
from breeding.pairings.season.marks import marks_of
from breeding.pairings.season.renewed import MOVED, PAIRED
from breeding.program.models import Program
from breeding.program.unchanged.each import kept_of_each
from breeding.program.unchanged.marks import rests_on
from breeding.words.days import long_day
from breeding.words.language import tell, tell_many
from breeding.words.numbers import percent, some

MOST_NAMED = 6


class Way(NamedTuple):
    """A button: what it says and where it leads."""

    words: str
    route: str
    argument: int | tuple[str, int] | None = None
    query: str = ""


@dataclass(frozen=True)
class Disagreement:
    """One thing on which the records of a female's company do not agree.

    kind: "apart" (a pairing goes on, the two are in different water), "ended" (the pairing is
    over, they still share a tank), "unrecorded" (they share a tank and there is no pairing) or
    "unknown_sex" (one that could be a mature male shares her tank, and counts as none);
    for those of a season see `questions.py`.
    key: among those of its kind, the same while it is the same disagreement. since: from when
    on it has stood so.
    """

    key: str
    kind: str
    female: Animal
    males: tuple[Animal, ...]
    since: datetime.date
    words: str
    ways: tuple[Way, ...]

    @property
    def male(self) -> Animal:
        return self.males[0]


def disagreements(program: Program, *, asof: datetime.date) -> list[Disagreement]:
    """What stands on a day, by female; from the day after it began, so that acts can be finished.

    Those of unknown sex come last. A handful of queries, whatever the number of animals; of whom
    nothing was written they are kept.
    """
    by_key = {one.pk: one for one in females_here(asof)}

    def make(keys: Collection[int]) -> dict[int, list[Disagreement]]:
        rests_on(Program)
        asked = [by_key[key] for key in keys]
        exposure = exposure_of(gather_together(asked))
        found: dict[int, list[Disagreement]] = {key: [] for key in keys}
        for one in disagreements_of(asked, exposure, places_on(asof), asof=asof, program=program):
            found[one.female.pk].append(one)
        return found

    found = kept_of_each(("disagreements", asof), by_key, make, {**PAIRED, **MOVED})
    every = (one for key in by_key for one in found[key])
    return sorted(every, key=lambda one: one.kind == "unknown_sex")


def disagreements_of(
    females: Sequence[Animal],
    exposure: Exposure,
    places: Mapping[int, Stay],
    *,
    asof: datetime.date,
    program: Program,
) -> list[Disagreement]:
    """The same for company and places that have been read already."""
    said: dict[int, list[Disagreement]] = {}
    met: dict[int, list[tuple[datetime.date, Animal]]] = {}
    for female in females:
        found: list[Disagreement] = []
        unrecorded: list[tuple[datetime.date, Animal]] = []
        by_male: dict[int, list[Span]] = defaultdict(list)
        for span in exposure.spans.get(female.pk, ()):
            if span.first <= asof:
                by_male[span.male].append(span)
        for male_pk, spans in by_male.items():
            male = exposure.males[male_pk]
            if male.state not in HERE:
                continue
            going_on = [span for span in spans if span.last is None or span.last > asof]
            paired = [span.pairing for span in going_on if span.pairing is not None]
            shared = [span for span in going_on if span.pairing is None]
            if paired:
                found += _apart(paired[-1], female, male, places, asof)
            elif shared:
                since = min(span.first for span in shared)
                ended = _latest_end(spans, since)
                if ended is not None:
                    found += _ended(ended, female, male, places, asof)
                elif since < asof:
                    unrecorded.append((since, male))
        said[female.pk] = found
        if unrecorded:
            met[female.pk] = unrecorded
    kin = _kin_of({pk: [male.pk for _, male in males] for pk, males in met.items()}, program)
    for female in females:
        if males := met.get(female.pk):
            unknown = exposure.unknown_maturity
            said[female.pk].append(_unrecorded(males, female, places, unknown, kin[female.pk]))
    every = (one for female in females for one in said[female.pk])
    return [*every, *_of_unknown_sex(females, places, asof)]


def _apart(
    pairing: Pairing,
    female: Animal,
    male: Animal,
    places: Mapping[int, Stay],
    asof: datetime.date,
) -> list[Disagreement]:
    hers, his = places.get(female.pk), places.get(male.pk)
    if hers is None or his is None or share_water(hers, his):
        return []
    since = max(pairing.introduced_on, hers.since, his.since)
    if since >= asof:
        return []
    words = tell(
        "On record they have been together since {day}, but {female} is in {place} and {male} in "
        "{his_place}. The days go on counting as company: say since when they have been apart, or "
        "correct where they are.",
        day=long_day(pairing.introduced_on),
        female=female.name,
        place=hers.place,
        male=male.name,
        his_place=his.place,
    )
    ways = (
        Way(tell("Say since when they have been apart"), "pairings:separate", pairing.pk),
        Way(tell("Where {male} is", male=male.name), "housing:stays", male.pk),
    )
    key = f"{female.pk}:{male.pk}:{since}"
    return [Disagreement(key, "apart", female, (male,), since, words, ways)]


def _latest_end(spans: Iterable[Span], shared_since: datetime.date) -> datetime.date | None:
    """When the pairing ended that this sharing of a tank goes on from; None when it is new."""
    ends = [span.last for span in spans if span.pairing is not None and span.last is not None]
    last = max(ends, default=None)
    return last if last is not None and last + DAY >= shared_since else None


def _ended(
    ended: datetime.date,
    female: Animal,
    male: Animal,
    places: Mapping[int, Stay],
    asof: datetime.date,
) -> list[Disagreement]:
    if ended >= asof:
        return []
    words = tell(
        "On record {female} and {male} have been apart since {day}, but both are in {place}. The "
        "days go on counting as company. Move the male or close the divider rather than move her.",
        female=female.name,
        male=male.name,
        day=long_day(ended),
        place=_place(places, female),
    )
    ways = (Way(tell("Move {male}", male=male.name), "housing:move", male.pk),)
    key = f"{female.pk}:{male.pk}:{ended}"
    return [Disagreement(key, "ended", female, (male,), ended, words, ways)]


def _kin_of(met: Mapping[int, Sequence[int]], program: Program) -> dict[int, dict[int, float]]:
    """For each female F of young with those of these males that would need a reason, by the
    male's key; asked of all together, of whose ancestors much is the same."""
    pairs = [(female, male) for female, males in met.items() for male in males]
    shares = lineage.current().pedigree.kinships(pairs).tolist()
    found: dict[int, dict[int, float]] = {female: {} for female in met}
    for (female, male), f in zip(pairs, shares, strict=True):
        if f >= program.inbreeding_needs_reason:
            found[female][male] = f
    return found


def _unrecorded(
    met: Sequence[tuple[datetime.date, Animal]],
    female: Animal,
    places: Mapping[int, Stay],
    unknown_maturity: frozenset[int],
    kin: Mapping[int, float],
) -> Disagreement:
    """Kin are led apart first: their pairing is not offered to be written down."""
    ordered = sorted(met, key=lambda one: (one[0], one[1].name, one[1].pk))
    since, males = ordered[0][0], tuple(male for _, male in ordered)
    strangers = [male for male in males if male.pk not in kin]
    said = [
        tell(
            "{female} has shared {place} with {males} since {day}, and no pairing is on record. "
            "The days count as company.",
            female=female.name,
            place=_place(places, female),
            males=some([male.name for male in males], MOST_NAMED),
            day=long_day(since),
        )
    ]
    if doubtful := [male.name for male in males if male.pk in unknown_maturity]:
        said.append(
            tell(
                "{males}: of unknown age and size, counted as mature.",
                males=some(doubtful, MOST_NAMED),
            )
        )
    said += _kin_said(males, kin)
    if strangers:
        said.append(
            tell("Write the pairing down, or part them: move the male or close the divider.")
        )
    ways = _ways_with(female, males, strangers, kin)
    key = f"{female.pk}:{marks_of(males)}:{since}"
    return Disagreement(key, "unrecorded", female, males, since, " ".join(said), ways)


def _kin_said(males: Iterable[Animal], kin: Mapping[int, float]) -> Iterator[str]:
    """Of those that are kin, the closest first."""
    closest = sorted(
        (male for male in males if male.pk in kin), key=lambda male: kin[male.pk], reverse=True
    )
    for male in closest[:MOST_NAMED]:
        yield tell(
            "{male} is kin: their young would have F {percent}. Move him away first, or close the "
            "divider.",
            male=male.name,
            percent=percent(kin[male.pk]),
        )
    if (more := len(closest) - MOST_NAMED) > 0:
        yield tell_many("{number} more of them is kin.", "{number} more of them are kin.", more)


def _ways_with(
    female: Animal,
    males: Sequence[Animal],
    strangers: Sequence[Animal],
    kin: Mapping[int, float],
) -> tuple[Way, ...]:
    """To move one of them, kin first; to write down her pairing with one that is no kin."""
    led_apart = sorted(males, key=lambda male: male.pk not in kin)
    ways = [
        Way(tell("Move {male}", male=male.name), "housing:move", male.pk) for male in led_apart[:3]
    ]
    if strangers:
        who = f"?female={female.pk}&male={strangers[0].pk}"
        words = tell("Write down {female} and {male}", female=female.name, male=strangers[0].name)
        ways.insert(len(kin) if kin else 0, Way(words, "pairings:new", None, who))
    return tuple(ways)


def _of_unknown_sex(
    females: Sequence[Animal], places: Mapping[int, Stay], asof: datetime.date
) -> Iterator[Disagreement]:
    """Adults of unknown sex in the water of a mature female: no company, until somebody looks."""
    others = [
        one for one in everybody_around() if one.sex == Animal.Sex.UNKNOWN and one.pk in places
    ]
    if not others:
        return
    hers = [one for one in females if one.pk in places]
    mature = maturity_of({one.pk: one for one in (*hers, *others)})
    for female in hers:
        met = []
        for one in others:
            stays = places[female.pk], places[one.pk]
            grown = max(mature[female.pk].since, mature[one.pk].since)
            since = max(stays[0].since, stays[1].since, grown)
            if share_water(*stays) and since < asof:
                met.append((since, one, mature[one.pk].is_known))
        if met:
            yield _unknown_sex(met, female, places, asof)


def _unknown_sex(
    met: Sequence[tuple[datetime.date, Animal, bool]],
    female: Animal,
    places: Mapping[int, Stay],
    asof: datetime.date,
) -> Disagreement:
    since, others = min(one[0] for one in met), tuple(one for _, one, _ in met)
    doubtful = [one.name for _, one, is_known in met if not is_known]
    said = [
        tell_many(
            "{animals}, of unknown sex, in {place} with {female} since {day}, {number} day: "
            "counted as no company, and every day is one if there is a male.",
            "{animals}, of unknown sex, in {place} with {female} since {day}, {number} days: "
            "counted as no company, and every day is one if there is a male.",
            (asof - since).days,
            animals=some([one.name for one in others], MOST_NAMED),
            place=_place(places, female),
            female=female.name,
            day=long_day(since),
        )
    ]
    if doubtful:
        said.append(
            tell(
                "{animals}: of unknown age and size, counted as grown.",
                animals=some(doubtful, MOST_NAMED),
            )
        )
    said.append(tell("Look for claspers and write the sex down, or part them."))
    ways = (
        *(
            Way(tell("Write down the sex of {animal}", animal=one.name), "animals:edit", one.pk)
            for one in others[:3]
        ),
        *(
            Way(tell("Move {animal}", animal=one.name), "housing:move", one.pk)
            for one in others[:3]
        ),
    )
    key = f"{female.pk}:{marks_of(others)}:{since}"
    return Disagreement(key, "unknown_sex", female, others, since, " ".join(said), ways)


def _place(places: Mapping[int, Stay], animal: Animal) -> str:
    stay = places.get(animal.pk)
    return stay.place if stay else tell("one tank")
