"""What the water of a tank is known to be: the newest tests, and whether it is fit."""

import datetime
import json
from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import cache
from typing import Any

from django.db.models import OuterRef, Q, QuerySet, Subquery
from django.utils import timezone

from breeding.animals import lineage
from breeding.animals.species.profiles import Figures, all_profiles
from breeding.housing.models import Stay, Tank, WaterRange, WaterTest
from breeding.housing.water.fit import (
    NAMES,
    Range,
    Reading,
    WaterFit,
    as_ion,
    as_nitrogen,
    danger_words,
    judge,
    temperature_words,
    unionised_words,
    unit_words,
    unlikely_words,
    value_words,
)
from breeding.housing.water.kh import little_kh_words
from breeding.housing.water.ph import PhRules, judge_ph
from breeding.housing.work.mixing import MixingRules
from breeding.program.fixture_files import fixture_path
from breeding.program.frame.memory import remembered_while_reading
from breeding.program.kinds import kind_words
from breeding.program.models import Program

RECENT_DAYS = 3


@cache
def water_defaults() -> Mapping[str, Any]:
    """fixtures/water.json: ranges, ammonia's lines and space, each with its source."""
    content: dict[str, Any] = json.loads(fixture_path("water.json").read_text("utf-8"))
    return content


def is_of_rays() -> bool:
    """Whether this program keeps animals of the family that the file's figures were found for."""
    return kind_words().has_spine or kind_words().many == water_defaults()["holds_for"]


def default_ranges() -> dict[str, Range]:
    """What is called fit as it comes with the tool."""
    return {
        row["what"]: Range(row["what"], row["least"], row["most"], row["source"])
        for row in water_defaults()["ranges"]
    }


def possible_ranges() -> dict[str, Range]:
    """Temperature and pH that a tank with rays can have at all; others are slips of the pen."""
    return _reading_ranges("possible")


def borne_ranges() -> dict[str, Range]:
    """What a ray of the family bears; a reading outside is an emergency, not a misreading."""
    return _reading_ranges("danger") if is_of_rays() else {}


def ph_rules() -> PhRules:
    """What is known of pH beside a range; each figure has its source in the file."""
    row = water_defaults()["ph"]
    return PhRules(
        change_a_day=row["change_a_day"],
        change_source=row["change_source"],
        borne=Range("ph", row["borne"][0], row["borne"][1], row["borne_source"]),
        steady_within=row["steady_within"],
        steady_tests=row["steady_tests"],
        steady_days=row["steady_days"],
        look_back_days=row["look_back_days"],
    )


def mixing_rules() -> tuple[MixingRules, int]:
    """From where on a source water is asked about; and for how long one gets used to it."""
    row, ph = water_defaults()["mixing"], water_defaults()["ph"]
    names = ("warmth_c", "warmth_source", "conductivity_share", "conductivity_source")
    rules = MixingRules(ph["change_a_day"], ph["change_source"], *(row[name] for name in names))
    return rules, row["used_to_days"]


def ph_ranges_by_profile() -> dict[str, Range]:
    """The pH of the profiles that have one of their own, by key."""
    return {
        row["profile"]: Range("ph", row["least"], row["most"], row["source"])
        for row in water_defaults()["ph"]["by_profile"]
    }


def likely_ranges() -> dict[str, Range]:
    """What a test of a tank with rays hardly ever reads outside of."""
    return _reading_ranges("likely")


def _reading_ranges(which: str) -> dict[str, Range]:
    return {
        row["what"]: Range(row["what"], row[which][0], row[which][1], row["source"])
        for row in water_defaults()["readings"]
        if which in row
    }


def unlikely_in(test: WaterTest, program: Program) -> list[str]:
    """A sentence for each value of a test that is hardly ever so."""
    return unlikely_words(readings_of(test), likely_ranges(), program.temperature_unit)


def dangerous_in(test: WaterTest, program: Program) -> list[str]:
    """A sentence for each value of a test that is an emergency."""
    return danger_words(readings_of(test), borne_ranges(), program.temperature_unit)


def ranges() -> dict[str, Range]:
    """What this program calls fit: its own rows before the defaults. One query."""
    own = {
        row.what: Range(row.what, row.least, row.most, row.source or "this program's own choice")
        for row in WaterRange.objects.all()
    }
    return default_ranges() | own


def _suits_everybody(tests: Iterable[WaterTest]) -> bool:
    """Whether no pH of these tests is outside of what any profile wants: nobody need be asked."""
    of_species = [_of_species(one, "ph") for one in all_profiles().every]
    wanted = (default_ranges()["ph"], *ph_ranges_by_profile().values(), *filter(None, of_species))
    read = [float(test.ph) for test in tests if test.ph is not None]
    return all(limits.holds(value) for limits in wanted for value in read)


def _ph_wanted(tanks: Iterable[Tank], asof: datetime.date) -> dict[int, dict[str, Range]]:
    """By tank: the pH that those in it that day want, by profile; "" for the usual range."""
    usual, special = default_ranges()["ph"], ph_ranges_by_profile()
    tanks = list(tanks)
    stays = Stay.objects.filter(Q(until__isnull=True) | Q(until__gt=asof), since__lte=asof)
    who = list(stays.filter(tank__in=tanks).values_list("tank", "animal"))
    if not who:
        return {tank.pk: {"": usual} for tank in tanks}
    known, profiles = lineage.current(), all_profiles()
    found: dict[int, dict[str, Range]] = {tank.pk: {} for tank in tanks}
    for tank, animal in who:
        profile = profiles.of(known.shares.get(animal, {}))
        own = _of_species(profile, "ph") or special.get(profile.key)
        found[tank][profile.label if own else ""] = own or usual
    return {key: wanted or {"": usual} for key, wanted in found.items()}


def _of_species(figures: Figures, what: str) -> Range | None:
    """What a species wants by its own figures, as they are typed on its page; None without any."""
    unit = "_c" if what == "temperature" else ""
    ends = [figures.values.get(f"water_{what}_{end}{unit}") for end in ("least", "most")]
    if ends == [None, None]:
        return None
    return Range(what, ends[0], ends[1], f"the figures of {figures.label}")


def _temperatures_wanted(tanks: Iterable[Tank], asof: datetime.date) -> dict[int, Range]:
    """By tank: what all that are in it that day bear by their species' own figures."""
    profiles = all_profiles()
    if not any(_of_species(one, "temperature") for one in profiles.every):
        return {}
    stays = Stay.objects.filter(Q(until__isnull=True) | Q(until__gt=asof), since__lte=asof)
    known, found = lineage.current(), dict[int, list[Range]]()
    for tank, animal in stays.filter(tank__in=list(tanks)).values_list("tank", "animal"):
        figures = profiles.of(known.shares.get(animal, {}))
        wanted = _of_species(figures, "temperature") or default_ranges()["temperature"]
        found.setdefault(tank, []).append(wanted)
    return {tank: _narrowest(wanted) for tank, wanted in found.items()}


def _narrowest(wanted: list[Range]) -> Range:
    """Within what all of them want; the default's ends where one has none."""
    least = max(one.least for one in wanted if one.least is not None)
    most = min(one.most for one in wanted if one.most is not None)
    return Range("temperature", least, most, "; ".join(dict.fromkeys(one.source for one in wanted)))


def standing_tests() -> QuerySet[WaterTest]:
    return WaterTest.objects.filter(withdrawn_at__isnull=True)


def readings_of(test: WaterTest) -> list[Reading]:
    """The values of a test that were read."""
    on = timezone.localdate(test.tested_at)
    plain = {
        "temperature": test.temperature_c,
        "ph": test.ph,
        "conductivity": test.conductivity_us_cm,
        "kh": test.kh_dh,
    }
    found = [Reading(what, float(value), on) for what, value in plain.items() if value is not None]
    for what in ("ammonia", "nitrite", "nitrate"):
        value = getattr(test, f"{what}_mg_l")
        if value is not None:
            found.append(Reading(what, float(value), on, getattr(test, f"{what}_as")))
    return found


def water_fit(
    tank: Tank, asof: datetime.date, days: int = RECENT_DAYS, *, program: Program | None = None
) -> WaterFit:
    """Whether a tank's water is fit on a day, by tests of the last `days` days.

    `.fit` is True, False or None (not known), `.words` says so with the reason. Fit: no ammonia
    and no nitrite detectable, temperature within the program's range, pH as `judge_ph` says of
    those that live there; the newest reading of each counts. Tests of any tank that shares the
    water count. `program` gives the words its unit of temperature.
    """
    return water_fits([tank], asof, days, program=program)[tank.pk]


def water_fits(
    tanks: Iterable[Tank],
    asof: datetime.date,
    days: int = RECENT_DAYS,
    *,
    program: Program | None = None,
) -> dict[int, WaterFit]:
    """`water_fit` of many tanks by their keys, in as many queries as of one, and once a page."""
    unit = program.temperature_unit if program is not None else "C"
    tanks = list(tanks)
    known: dict[int, WaterFit] = remembered_while_reading(f"water:{asof}:{days}:{unit}", dict)
    if missing := [tank for tank in tanks if tank.pk not in known]:
        known.update(_reckoned_fits(missing, asof, days, unit))
    return {tank.pk: known[tank.pk] for tank in tanks}


def _reckoned_fits(
    tanks: list[Tank], asof: datetime.date, days: int, unit: str
) -> dict[int, WaterFit]:
    limits, rules = ranges(), ph_rules()
    is_own = limits["ph"] != default_ranges()["ph"]
    tests = _tests_until(tanks, asof, days, ph_days=rules.look_back_days)
    wanted = {} if is_own or _suits_everybody(tests) else _ph_wanted(tanks, asof)
    warmth = {}
    if limits["temperature"] == default_ranges()["temperature"]:
        warmth = _temperatures_wanted(tanks, asof)
    first = asof - datetime.timedelta(days=days)
    may_be_used_to_it = not is_own and is_of_rays()
    found = {}
    for tank in tanks:
        its_own = [test for test in tests if _shares_water(test.tank, tank)]
        newest: dict[str, Reading] = {}
        readings = [reading for test in its_own for reading in readings_of(test)]
        for reading in readings:
            if reading.on >= first:
                newest.setdefault(reading.what, reading)
        ph = judge_ph(
            [one for one in reversed(readings) if one.what == "ph"],
            wanted.get(tank.pk, {"": limits["ph"]}),
            rules,
            since=first,
            may_be_used_to_it=may_be_used_to_it,
        )
        last_on = timezone.localdate(its_own[0].tested_at) if its_own else None
        fit = judge(
            newest,
            limits | ({"temperature": warmth[tank.pk]} if tank.pk in warmth else {}),
            asof=asof,
            days=days,
            last_on=last_on,
            temperature_unit=unit,
            ph_wrong=ph.wrong,
            ph_note=ph.note,
        )
        little = water_defaults()["little_kh"]
        also = little_kh_words(
            readings, since=first, most_dh=little["most_dh"], fell=little["ph_fell"]
        )
        found[tank.pk] = replace(fit, because=f"{fit.because} {also}".strip())
    return found


def _shares_water(tested: Tank, tank: Tank) -> bool:
    return tested.pk == tank.pk or (
        tank.system_id is not None and tested.system_id == tank.system_id
    )


NEWEST_DAYS, NEWEST_READ = 60, 60


def newest_readings(tanks: Iterable[Tank], asof: datetime.date) -> dict[int, dict[str, Reading]]:
    """The newest reading of each quantity in the last weeks, by tank: one query, few rows.

    Tests of any tank that shares the water count.
    """
    tanks = list(tanks)
    systems = {tank.system_id for tank in tanks if tank.system_id is not None}
    tests = standing_tests().filter(
        Q(tank__in=tanks) | Q(tank__system__in=systems),
        tested_at__lt=_midnight(asof + datetime.timedelta(days=1)),
        tested_at__gte=_midnight(asof - datetime.timedelta(days=NEWEST_DAYS)),
    )
    found: dict[int, dict[str, Reading]] = {tank.pk: {} for tank in tanks}
    latest = tests.select_related("tank").order_by("-tested_at", "-pk")
    for test in latest[: NEWEST_READ * len(tanks)]:
        for tank in tanks:
            if _shares_water(test.tank, tank):
                for reading in readings_of(test):
                    found[tank.pk].setdefault(reading.what, reading)
    return found


def _tests_until(
    tanks: list[Tank], asof: datetime.date, days: int, *, ph_days: int
) -> list[WaterTest]:
    """Tests of the last days, of pH further back, the newest of each however old; newest first."""
    end = _midnight(asof + datetime.timedelta(days=1))
    until = standing_tests().filter(tested_at__lt=end)
    of_tank = until.filter(tank=OuterRef("pk")).order_by("-tested_at", "-pk")
    systems = {tank.system_id for tank in tanks if tank.system_id is not None}
    sharing = Tank.every.filter(pk__in=[tank.pk for tank in tanks]) | Tank.every.filter(
        system__in=systems
    )
    newest = sharing.annotate(newest=Subquery(of_tank.values("pk")[:1])).values_list("newest")
    start = _midnight(asof - datetime.timedelta(days=days))
    ph_start = _midnight(asof - datetime.timedelta(days=max(ph_days, days)))
    recent = until.filter(
        Q(tested_at__gte=start) | Q(tested_at__gte=ph_start, ph__isnull=False), tank__in=sharing
    )
    wanted = {pk for (pk,) in newest if pk is not None}
    found = (recent | until.filter(pk__in=wanted)).select_related("tank")
    return list(found.order_by("-tested_at", "-pk"))


def _midnight(on: datetime.date) -> datetime.datetime:
    return timezone.make_aware(datetime.datetime.combine(on, datetime.time.min))


def ammonia_words(test: WaterTest) -> str:
    """How much of a test's ammonia is the harmful kind; what is missing to tell; "" without any."""
    if test.ammonia_mg_l is None:
        return ""
    if test.temperature_c is None or test.ph is None:
        return "Un-ionised ammonia: not known without temperature and pH in the same test."
    lines = water_defaults()["unionised_ammonia"]
    return unionised_words(
        as_nitrogen(float(test.ammonia_mg_l), "ammonia", test.ammonia_as),
        float(test.temperature_c),
        float(test.ph),
        cautious_mg_l=lines["cautious_mg_l"],
        harm_mg_l=lines["harm_mg_l"],
    )


def last_test_of(tank: Tank) -> WaterTest | None:
    """The newest test of this tank itself: what its form remembers the units from. One query."""
    return standing_tests().filter(tank=tank).first()


def nitrate_words(test: WaterTest) -> str:
    """What common practice says of a test's nitrate when it is above the aim; else ""."""
    if test.nitrate_mg_l is None:
        return ""
    nitrate = as_ion(float(test.nitrate_mg_l), "nitrate", test.nitrate_as)
    aim, most = water_defaults()["nitrate_aim_mg_l"], default_ranges()["nitrate"].most
    if nitrate <= aim:
        return ""
    return (
        f"Nitrate {nitrate:.0f} mg/L NO3: aim under {aim:g}, never above {most:g} "
        "(common practice, no source)."
    )


def values_in_words(test: WaterTest, program: Program) -> list[tuple[str, str, str]]:
    """Name, value as typed with its unit, and the same in the other unit, of what was read."""
    rows = []
    for reading in readings_of(test):
        if reading.what == "temperature":
            said = temperature_words(reading.value, program.temperature_unit)
            rows.append(("temperature", said, ""))
        elif not reading.read_as:
            rows.append((NAMES.get(reading.what, reading.what), value_words(reading), ""))
        elif reading.value == 0:
            rows.append((reading.what, "not detectable", ""))
        else:
            other = "ion" if reading.read_as == "N" else "N"
            turn = as_ion if other == "ion" else as_nitrogen
            value = turn(reading.value, reading.what, reading.read_as)
            rows.append(
                (
                    reading.what,
                    f"{reading.value:g} {unit_words(reading.what, reading.read_as)}",
                    f"{value:.3g} {unit_words(reading.what, other)}",
                )
            )
    return rows
