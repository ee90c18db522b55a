"""What the water of a tank is known to be: the newest tests, and whether it is fit."""

import datetime
import json
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import replace
from functools import cache
from typing import Any, NamedTuple

from django.db.models import OuterRef, Q, QuerySet, Subquery
from django.utils import timezone

from breeding.animals import lineage
from breeding.animals.species.profiles import Figures, all_profiles
from breeding.housing.figures import figure
from breeding.housing.models import Stay, Tank, WaterRange, WaterTest
from breeding.housing.water.fit import (
    Range,
    Reading,
    WaterFit,
    as_ion,
    as_nitrogen,
    danger_words,
    heading_words,
    judge,
    name_words,
    temperature_words,
    unit_words,
    unlikely_words,
    value_words,
)
from breeding.housing.water.kh import little_kh_words
from breeding.housing.water.ph import PhRules, judge_ph
from breeding.housing.work.mixing import MixingRules
from breeding.housing.work.rhythm import may_be_days_old, rhythms_of
from breeding.program.frame.memory import remembered_while_reading
from breeding.program.kinds import kept_words
from breeding.program.models import Program
from breeding.program.queries import the_program
from breeding.program.reference.fixture_files import fixture_path
from breeding.program.unchanged.each import kept_of_each
from breeding.words.language import sentences, tell

# A reading that is not fit stands until a newer one is; after so long nobody knows. An assumption.
STANDS_DAYS = 90


@cache
def water_defaults() -> Mapping[str, Any]:
    """fixtures/water.json: ranges, ammonia's lines and space, each with its source."""
    content: dict[str, Any] = json.loads(fixture_path("water.json").read_text("utf-8"))
    return content


def is_of_rays() -> bool:
    """Whether this program keeps animals of the family that the file's figures were found for."""
    return kept_words().has_spine or kept_words().many == water_defaults()["holds_for"]


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
        row.what: Range(
            row.what, row.least, row.most, row.source or tell("this program's own choice")
        )
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
    whose = tell("the figures of {species}", species=figures.label)
    return Range(what, ends[0], ends[1], whose)


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
    sources = dict.fromkeys(tell(one.source) for one in wanted)
    return Range("temperature", least, most, "; ".join(sources))


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


def water_fit(tank: Tank, asof: datetime.date, *, program: Program | None = None) -> WaterFit:
    """Whether a tank's water is fit on a day, by one rule wherever it is asked.

    `.fit` is True, False or None (not known), `.words` says so with the reason and the day of the
    test. Fit: no ammonia and no nitrite detectable, temperature within the program's range, pH as
    `judge_ph` says of those that live there, each read in as many days as a test may be old in
    this tank (`may_be_days_old`). Not fit: the newest reading of anything is out of range; it
    stands for `STANDS_DAYS`, or until there is a newer one. Tests of any tank that shares the
    water count.
    """
    return water_fits([tank], asof, program=program)[tank.pk]


def water_fits(
    tanks: Iterable[Tank], asof: datetime.date, *, program: Program | None = None
) -> dict[int, WaterFit]:
    """`water_fit` of many tanks by their keys, in as many queries as of one, and once a page."""
    program = program or the_program()
    unit = program.temperature_unit
    around = (asof, unit, program.nursery_test_days, program.water_test_days)
    tanks = list(tanks)
    known: dict[int, WaterFit] = remembered_while_reading(f"water:{around}", dict)
    if missing := [tank for tank in tanks if tank.pk not in known]:
        by_key = {tank.pk: tank for tank in missing}

        def make(keys: Collection[int]) -> dict[int, WaterFit]:
            return _reckoned_fits([by_key[key] for key in keys], asof, program)

        known |= kept_of_each(("water", around), by_key, make, {})
    return {tank.pk: known[tank.pk] for tank in tanks}


def _reckoned_fits(tanks: list[Tank], asof: datetime.date, program: Program) -> dict[int, WaterFit]:
    limits, rules = ranges(), ph_rules()
    is_own = limits["ph"] != default_ranges()["ph"]
    by_tank, rhythms = tests_of_late(tanks, asof), rhythms_of(tanks)
    tests = [test for its_own in by_tank.values() for test in its_own]
    wanted = {} if is_own or _suits_everybody(tests) else _ph_wanted(tanks, asof)
    warmth = {}
    if limits["temperature"] == default_ranges()["temperature"]:
        warmth = _temperatures_wanted(tanks, asof)
    first = asof - datetime.timedelta(days=STANDS_DAYS)
    may_be_used_to_it = not is_own and is_of_rays()
    little = water_defaults()["little_kh"]
    found = {}
    for tank in tanks:
        its_own = by_tank[tank.pk]
        days = may_be_days_old(tank, rhythms.get(tank.pk, {}), program) or STANDS_DAYS
        recent = asof - datetime.timedelta(days=days)
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
            changed_since=recent,
            may_be_used_to_it=may_be_used_to_it,
        )
        last_on = timezone.localdate(its_own[0].tested_at) if its_own else None
        fit = judge(
            newest,
            limits | ({"temperature": warmth[tank.pk]} if tank.pk in warmth else {}),
            asof=asof,
            days=days,
            last_on=last_on,
            temperature_unit=program.temperature_unit,
            ph_wrong=ph.wrong,
            ph_note=ph.note,
        )
        also = little_kh_words(
            readings, since=recent, most_dh=little["most_dh"], fell=little["ph_fell"]
        )
        found[tank.pk] = replace(fit, because=sentences(fit.because, also))
    return found


def _water_of(tank: Tank) -> tuple[str, int]:
    """One key for all tanks that share their water."""
    return ("tank", tank.pk) if tank.system_id is None else ("system", tank.system_id)


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
            if _water_of(test.tank) == _water_of(tank):
                for reading in readings_of(test):
                    found[tank.pk].setdefault(reading.what, reading)
    return found


def tests_of_late(tanks: Iterable[Tank], asof: datetime.date) -> dict[int, list[WaterTest]]:
    """By tank the tests of its water, newest first: of the last `STANDS_DAYS`, of pH further back,
    and the newest of each tank however old.

    At most one query; in a request that only reads none for tanks that were asked about before.
    """
    tanks = list(tanks)
    held: dict[int, list[WaterTest]] = remembered_while_reading(f"tests of late:{asof}", dict)
    if missing := [one for one in tanks if one.pk not in held]:
        of_water: dict[tuple[str, int], list[WaterTest]] = defaultdict(list)
        for test in _tests_until(missing, asof):
            of_water[_water_of(test.tank)].append(test)
        held.update({one.pk: of_water[_water_of(one)] for one in missing})
    return {one.pk: held[one.pk] for one in tanks}


def ever_tested() -> Q:
    """Of stays: those in a tank whose water was tested at any time."""
    own = standing_tests().values("tank")
    shared = standing_tests().filter(tank__system__isnull=False).values("tank__system")
    return Q(tank__in=own) | Q(tank__system__in=shared)


def _tests_until(tanks: list[Tank], asof: datetime.date) -> list[WaterTest]:
    """Of these and of those that share their water: one query."""
    end = _midnight(asof + datetime.timedelta(days=1))
    until = standing_tests().filter(tested_at__lt=end).select_related("tank")
    systems = {tank.system_id for tank in tanks if tank.system_id is not None}
    sharing = Tank.every.filter(Q(pk__in=[tank.pk for tank in tanks]) | Q(system__in=systems))
    ph_days = max(ph_rules().look_back_days, STANDS_DAYS)
    start, ph_start = (_midnight(asof - datetime.timedelta(days=n)) for n in (STANDS_DAYS, ph_days))
    recent = until.filter(
        Q(tested_at__gte=start) | Q(ph__isnull=False), tested_at__gte=ph_start, tank__in=sharing
    )
    # Both in one list of keys, each found by its own index: an "or" would look at every test.
    keys = recent.order_by().values("pk").union(_newest_of(sharing, until), all=True)
    return list(until.filter(pk__in=keys).order_by("-tested_at", "-pk"))


def _newest_of(tanks: QuerySet[Tank], tests: QuerySet[WaterTest]) -> QuerySet[Tank, Any]:
    of_tank = tests.filter(tank=OuterRef("pk")).order_by("-tested_at", "-pk")
    return tanks.order_by().annotate(newest=Subquery(of_tank.values("pk")[:1])).values("newest")


def _midnight(on: datetime.date) -> datetime.datetime:
    return timezone.make_aware(datetime.datetime.combine(on, datetime.time.min))


def last_test_of(tank: Tank) -> WaterTest | None:
    """The newest test of this tank itself: what its form remembers the units from. One query."""
    return standing_tests().filter(tank=tank).first()


class SaidValue(NamedTuple):
    """What was read of one quantity: as typed with its unit, and the same in the other unit."""

    what: str
    value: str
    other: str = ""

    @property
    def heading(self) -> str:
        """The name at the beginning of a line."""
        if self.what == "kh":
            return tell("Carbonate hardness (KH)")
        return heading_words(self.what)


def values_in_words(test: WaterTest, program: Program) -> list[tuple[str, str, str]]:
    """Name, value as typed with its unit, and the same in the other unit, of what was read."""
    return [(name_words(one.what), one.value, one.other) for one in values_said(test, program)]


def values_said(test: WaterTest, program: Program) -> list[SaidValue]:
    """The same with the key of each quantity."""
    rows = []
    for reading in readings_of(test):
        if reading.what == "temperature":
            said = temperature_words(reading.value, program.temperature_unit)
            rows.append(SaidValue(reading.what, said))
        elif not reading.read_as:
            rows.append(SaidValue(reading.what, value_words(reading)))
        elif reading.value == 0:
            rows.append(SaidValue(reading.what, tell("not detectable")))
        else:
            other = "ion" if reading.read_as == "N" else "N"
            turn = as_ion if other == "ion" else as_nitrogen
            value = turn(reading.value, reading.what, reading.read_as)
            rows.append(
                SaidValue(
                    reading.what,
                    f"{figure(reading.value)} {unit_words(reading.what, reading.read_as)}",
                    f"{figure(value, '.3g')} {unit_words(reading.what, other)}",
                )
            )
    return rows
