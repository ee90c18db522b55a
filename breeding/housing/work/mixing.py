"""What comes of pouring one water into another, before it is done; no rows, no clock."""

import datetime
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from breeding.housing.figures import figure
from breeding.housing.water.fit import Reading, temperature_words
from breeding.words.days import distance
from breeding.words.language import tell

EXACT = 6


@dataclass(frozen=True)
class MixingRules:
    """From where on a difference is worth a word; fixtures/water.json under "mixing"."""

    ph_a_day: float
    ph_source: str
    warmth_c: float
    warmth_source: str
    conductivity_share: float
    conductivity_source: str


@dataclass(frozen=True)
class Poured:
    """The water that comes in, as far as it is known, and its share of the whole.

    None is unknown.
    """

    name: str
    share: float | None
    ph: float | None = None
    temperature_c: float | None = None
    conductivity_us_cm: float | None = None
    is_raw_tap: bool = False


def chlorine_words(poured: Poured, many: str) -> str:
    """That tap water is dechlorinated first, where nothing says that it is; else ""."""
    if not poured.is_raw_tap:
        return ""
    return tell(
        "{water} is tap water, and nothing on record says that chlorine is taken out of it. Tap "
        "water is dechlorinated before it touches {many} (common practice, no source).",
        water=poured.name,
        many=many,
    )


def differing_words(
    poured: Poured,
    newest: Mapping[str, Reading],
    rules: MixingRules,
    *,
    asof: datetime.date,
    temperature_unit: str = "C",
) -> Iterator[str]:
    """A sentence for each figure of the source that is far from the tank's newest reading.

    Warmth and conductivity mix by their shares (half where the share is not known); a pH does not:
    it can move by all of the difference, so the difference itself is held against a day's change.
    """
    share = 0.5 if poured.share is None else poured.share
    yield from _ph_words(poured, newest.get("ph"), rules, asof)
    yield from _warmth_words(poured, newest.get("temperature"), rules, share, temperature_unit)
    yield from _conductivity_words(poured, newest.get("conductivity"), rules, share)


def _ph_words(
    poured: Poured, tank: Reading | None, rules: MixingRules, asof: datetime.date
) -> Iterator[str]:
    if poured.ph is None or tank is None:
        return
    apart = round(abs(poured.ph - tank.value), EXACT)
    if apart > rules.ph_a_day:
        yield tell(
            "{water} has pH {ph}, the tank had {had} ({when}): {apart} apart, and a change of more "
            "than {most} a day is the warning ({source}). How far it moves depends on what holds "
            "the pH in both.",
            water=poured.name,
            ph=figure(poured.ph),
            had=figure(tank.value),
            when=distance(tank.on, asof),
            apart=figure(apart),
            most=figure(rules.ph_a_day),
            source=tell(rules.ph_source),
        )


def _warmth_words(
    poured: Poured, tank: Reading | None, rules: MixingRules, share: float, unit: str
) -> Iterator[str]:
    if poured.temperature_c is None or tank is None:
        return
    mixed = tank.value + share * (poured.temperature_c - tank.value)
    if round(abs(mixed - tank.value), EXACT) > rules.warmth_c:
        yield tell(
            "{water} goes in at {warmth}: it takes the tank from {before} to about {after} at once "
            "({source}).",
            water=poured.name,
            warmth=temperature_words(poured.temperature_c, unit),
            before=temperature_words(tank.value, unit),
            after=temperature_words(mixed, unit),
            source=tell(rules.warmth_source),
        )


def _conductivity_words(
    poured: Poured, tank: Reading | None, rules: MixingRules, share: float
) -> Iterator[str]:
    if poured.conductivity_us_cm is None or tank is None or tank.value <= 0:
        return
    mixed = tank.value + share * (poured.conductivity_us_cm - tank.value)
    if round(abs(mixed - tank.value) / tank.value, EXACT) > rules.conductivity_share:
        yield tell(
            "{water} has {conductivity} µS/cm: it takes the tank from {before} to about {after} "
            "µS/cm at once ({source}).",
            water=poured.name,
            conductivity=figure(poured.conductivity_us_cm),
            before=figure(tank.value),
            after=figure(mixed, ".0f"),
            source=tell(rules.conductivity_source),
        )
