"""Where tanks and pairings say different things of who is together, and what to do about it."""

import datetime
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from breeding.animals import lineage
from breeding.animals.models import Animal
from breeding.housing.models import Stay
from breeding.housing.stays.shared_water import share_water
from breeding.pairings.models import Pairing
from breeding.pairings.season.exposure import DAY, Exposure, Span, exposure_of, maturity_of
from breeding.pairings.season.facts import HERE, females_here, gather_together, places_on
from breeding.program.models import Program
from breeding.words.days import long_day
from breeding.words.numbers import counted, joined, percent
from pedigree import Pedigree

GENTLY = "Move the male or close the divider rather than move her."


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

    A handful of queries, whatever the number of animals.
    """
    females = females_here()
    exposure = exposure_of(gather_together(females))
    return disagreements_of(females, exposure, places_on(asof), asof=asof, program=program)


def disagreements_of(
    females: Sequence[Animal],
    exposure: Exposure,
    places: Mapping[int, Stay],
    *,
    asof: datetime.date,
    program: Program,
) -> list[Disagreement]:
    """The same for company and places that have been read already."""
    found: list[Disagreement] = []
    pedigree = lineage.current().pedigree
    for female in females:
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
        if unrecorded:
            kin = _kin_of(female, (male for _, male in unrecorded), pedigree, program)
            found.append(_unrecorded(unrecorded, female, places, exposure.unknown_maturity, kin))
    return [*found, *_of_unknown_sex(females, places, asof)]


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
    words = (
        f"On record as together since {long_day(pairing.introduced_on)}, but {female.name} is in "
        f"{hers.place} and {male.name} in {his.place}. The days go on counting as company: say "
        "since when they are apart, or correct where they are."
    )
    ways = (
        Way("Say since when they are apart", "pairings:separate", pairing.pk),
        Way(f"Where {male.name} is", "housing:stays", male.pk),
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
    words = (
        f"{female.name} and {male.name} are apart since {long_day(ended)} on record, but both are "
        f"in {_place(places, female)}. The days go on counting as company. {GENTLY}"
    )
    ways = (Way(f"Move {male.name}", "housing:move", male.pk),)
    key = f"{female.pk}:{male.pk}:{ended}"
    return [Disagreement(key, "ended", female, (male,), ended, words, ways)]


def _kin_of(
    female: Animal, males: Iterable[Animal], pedigree: Pedigree, program: Program
) -> dict[int, float]:
    """F of young with each of these males that would need a reason, by the male's key."""
    found = {male.pk: pedigree.kinship(male.pk, female.pk) for male in males}
    return {pk: f for pk, f in found.items() if f >= program.inbreeding_needs_reason}


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
    names = joined([male.name for male in males])
    doubtful = [male.name for male in males if male.pk in unknown_maturity]
    doubt = f" {joined(doubtful)}: of unknown age and size, counted as mature." if doubtful else ""
    strangers = [male for male in males if male.pk not in kin]
    kin_words = "".join(
        f" {male.name} is kin: their young would have F {percent(kin[male.pk])}. Move him away "
        "first, or close the divider."
        for male in males
        if male.pk in kin
    )
    part = (
        " Write the pairing down, or part them: move the male or close the divider."
        if strangers
        else ""
    )
    words = (
        f"{female.name} shares {_place(places, female)} with {names} since {long_day(since)}, and "
        f"no pairing is on record. The days count as company.{doubt}{kin_words}{part}"
    )
    led_apart = sorted(males, key=lambda male: male.pk not in kin)
    ways = [Way(f"Move {male.name}", "housing:move", male.pk) for male in led_apart[:3]]
    if strangers:
        who = f"?female={female.pk}&male={strangers[0].pk}"
        write = Way(f"Write down {female.name} and {strangers[0].name}", "pairings:new", None, who)
        ways.insert(len(kin) if kin else 0, write)
    key = f"{female.pk}:{'-'.join(str(male.pk) for male in males)}:{since}"
    return Disagreement(key, "unrecorded", female, males, since, words, tuple(ways))


def _of_unknown_sex(
    females: Sequence[Animal], places: Mapping[int, Stay], asof: datetime.date
) -> Iterator[Disagreement]:
    """Adults of unknown sex in the water of a mature female: no company, until somebody looks."""
    unknown = Animal.objects.filter(sex=Animal.Sex.UNKNOWN, state__in=HERE, pk__in=places.keys())
    others = list(unknown.order_by("call_name", "code"))
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
    doubt = f" {joined(doubtful)}: of unknown age and size, counted as grown." if doubtful else ""
    words = (
        f"{joined([one.name for one in others])}, of unknown sex, in {_place(places, female)} with "
        f"{female.name} since {long_day(since)}, {counted((asof - since).days, 'day')}: counted "
        f"as no company, and every day is one if there is a male.{doubt} Look for claspers and "
        "write the sex down, or part them."
    )
    ways = (
        *(Way(f"Write down the sex of {one.name}", "animals:edit", one.pk) for one in others[:3]),
        *(Way(f"Move {one.name}", "housing:move", one.pk) for one in others[:3]),
    )
    key = f"{female.pk}:{'-'.join(str(one.pk) for one in others)}:{since}"
    return Disagreement(key, "unknown_sex", female, others, since, words, ways)


def _place(places: Mapping[int, Stay], animal: Animal) -> str:
    stay = places.get(animal.pk)
    return stay.place if stay else "one tank"
