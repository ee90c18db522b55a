"""The water of every tank at a glance, and the figures of a source water; writes nothing."""

import datetime
from dataclasses import dataclass

from breeding.housing.figures import figure
from breeding.housing.models import Tank, WaterChange, WaterSource
from breeding.housing.queries import present_stays
from breeding.housing.water.fit import WaterFit, temperature_words
from breeding.housing.water.queries import water_fits
from breeding.housing.work.queries import last_changes_of
from breeding.housing.work.rhythm import Due, What, due_in, last_done, rhythms_of
from breeding.program.models import Program
from breeding.words.language import tell

Date = datetime.date


@dataclass(frozen=True)
class TankWater:
    """A tank with what is known of its water: how it was tested, changed and cared for last."""

    tank: Tank
    fit: WaterFit
    changed_on: Date | None
    filter_on: Date | None
    last_change: WaterChange | None
    due: tuple[Due, ...]


def waters_of(program: Program, *, asof: Date) -> list[TankWater]:
    """Every tank in use: as many queries however many tanks, tests and changes.

    Those whose water is not fit, or in which something is due, come first.
    """
    tanks = list(Tank.objects.select_related("system"))
    fits = water_fits(tanks, asof, program=program)
    changes = last_changes_of(tanks)
    last, rhythms = last_done(tanks, asof), rhythms_of(tanks)
    since = _in_use_since(tanks, asof)
    found = [
        TankWater(
            tank,
            fits[tank.pk],
            last[tank.pk].get(What.CHANGE),
            last[tank.pk].get(What.FILTER),
            changes.get(tank.pk),
            tuple(_due_now(tank, rhythms.get(tank.pk, {}), last[tank.pk], since, asof)),
        )
        for tank in tanks
    ]
    return sorted(found, key=lambda one: not one.due and one.fit.fit is not False)


def _due_now(
    tank: Tank, rhythms: dict[str, int], last: dict[str, Date], since: dict[int, Date], asof: Date
) -> list[Due]:
    if tank.pk not in since:
        return []
    every = due_in(rhythms, last, in_use_since=since[tank.pk])
    return [one for one in every if one.on <= asof]


def _in_use_since(tanks: list[Tank], asof: Date) -> dict[int, Date]:
    found: dict[int, Date] = {}
    stays = present_stays().filter(tank__in=tanks, since__lte=asof).order_by("since")
    for tank, since in stays.values_list("tank", "since"):
        found.setdefault(tank, since)
    return found


def figures_words(source: WaterSource, temperature_unit: str) -> str:
    """pH, conductivity, hardness and warmth of a source water, as far as they are on record."""
    ph, conductivity, kh, warmth = (
        None if one is None else float(one)
        for one in (source.ph, source.conductivity_us_cm, source.kh_dh, source.temperature_c)
    )
    parts = [
        "" if ph is None else f"pH {figure(ph)}",
        "" if conductivity is None else f"{figure(conductivity)} µS/cm",
        "" if kh is None else f"KH {figure(kh)} °dH",
        "" if warmth is None else temperature_words(warmth, temperature_unit),
    ]
    return ", ".join(filter(None, parts)) or tell("no figures on record")
