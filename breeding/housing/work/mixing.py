"""What comes of pouring one water into another, before it is done; no rows, no clock."""

import datetime
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from breeding.housing.water.fit import Reading, temperature_words
from breeding.words.days import distance

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
    return (
        f"{poured.name} is tap water, and nothing on record says that chlorine is taken out of it. "
        f"Tap water is dechlorinated before it touches {many} (common practice, no source)."
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
        yield (
            f"{poured.name} has pH {poured.ph:g}, the tank had {tank.value:g} "
            f"({distance(tank.on, asof)}): {apart:g} apart, and a change of more than "
            f"{rules.ph_a_day:g} a day is the warning ({rules.ph_source}). How far it moves "
            "depends on what holds the pH in both."
        )


def _warmth_words(
    poured: Poured, tank: Reading | None, rules: MixingRules, share: float, unit: str
) -> Iterator[str]:
    if poured.temperature_c is None or tank is None:
        return
    mixed = tank.value + share * (poured.temperature_c - tank.value)
    if round(abs(mixed - tank.value), EXACT) > rules.warmth_c:
        yield (
            f"{poured.name} goes in at {temperature_words(poured.temperature_c, unit)}: it takes "
            f"the tank from {temperature_words(tank.value, unit)} to about "
            f"{temperature_words(mixed, unit)} at once ({rules.warmth_source})."
        )


def _conductivity_words(
    poured: Poured, tank: Reading | None, rules: MixingRules, share: float
) -> Iterator[str]:
    if poured.conductivity_us_cm is None or tank is None or tank.value <= 0:
        return
    mixed = tank.value + share * (poured.conductivity_us_cm - tank.value)
    if round(abs(mixed - tank.value) / tank.value, EXACT) > rules.conductivity_share:
        yield (
            f"{poured.name} has {poured.conductivity_us_cm:g} µS/cm: it takes the tank from "
            f"{tank.value:g} to about {mixed:.0f} µS/cm at once ({rules.conductivity_source})."
        )
