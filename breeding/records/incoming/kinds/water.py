"""Water tests: one row a tank and a moment."""

from typing import Any

from django.core.exceptions import ValidationError
from django.utils import timezone

from breeding.housing.models import WaterTest
from breeding.housing.water.services import record_water_test
from breeding.records.incoming.kinds.kind import NOTE, Facts, Keeping, Kind, until_now, words
from breeding.records.incoming.meanings import Meaning

_IONS = ("ammonia_mg_l", "nitrite_mg_l", "nitrate_mg_l")


def _keep(facts: Facts, keeping: Keeping) -> Any:
    tank, at = facts["tank"], until_now(facts["tested_at"], keeping)
    if facts["read_as"] is None and any(facts[one] for one in _IONS):
        raise ValidationError(
            {"read_as": "Does the test read ammonia, nitrite and nitrate as the ion, or as N?"}
        )
    keeping.ask_when(
        WaterTest.objects.filter(tank=tank, tested_at=at, withdrawn_at__isnull=True).exists(),
        f"A test of {tank} at {timezone.localtime(at):%Y-%m-%d %H:%M} is on record already; this "
        "writes a second one.",
        "tested_at",
    )
    read_as = facts["read_as"] or WaterTest.ReadAs.ION
    return record_water_test(
        tank,
        tested_at=at,
        now=keeping.now,
        by=keeping.by,
        note=words(facts, "note"),
        ammonia_as=read_as,
        nitrite_as=read_as,
        nitrate_as=read_as,
        **{name: facts[name] for name in WaterTest.VALUES},
    )


WATER = Kind(
    "water",
    "water test",
    "water tests",
    (
        Meaning(
            "tank",
            "Tank",
            ("tank", "tank name", "where", "aquarium", "vat", "pond", "becken"),
            "its name",
            "tank",
            is_needed=True,
        ),
        Meaning(
            "tested_at",
            "Tested on",
            ("date", "tested", "tested on", "tested at", "day", "when", "on", "datum"),
            "a date, with the time or without: then noon",
            "moment",
            is_needed=True,
        ),
        Meaning(
            "temperature_c",
            "Temperature",
            ("temperature", "temp", "t", "temperatur"),
            "in °C, or with °F",
            "temperature",
        ),
        Meaning("ph", "pH", ("ph", "p h"), "a number", "number"),
        Meaning(
            "ammonia_mg_l",
            "Total ammonia",
            ("ammonia", "nh3", "nh4", "nh3 nh4", "tan", "total ammonia", "ammonium"),
            "in mg/L",
            "number",
        ),
        Meaning("nitrite_mg_l", "Nitrite", ("nitrite", "no2", "nitrit"), "in mg/L", "number"),
        Meaning("nitrate_mg_l", "Nitrate", ("nitrate", "no3", "nitrat"), "in mg/L", "number"),
        Meaning(
            "conductivity_us_cm",
            "Conductivity",
            ("conductivity", "ec", "us cm", "µs", "µs cm", "leitwert", "leitfähigkeit"),
            "in µS/cm",
            "number",
        ),
        Meaning(
            "kh_dh",
            "Carbonate hardness",
            ("kh", "dkh", "carbonate hardness", "karbonathärte", "alkalinity dkh"),
            "in °dH",
            "number",
        ),
        Meaning("read_as", "Read as N or ion", ("read as", "as"), "N or ion", "read_as"),
        NOTE,
    ),
    _keep,
    lambda facts: facts["tested_at"],
    takes=(
        *("housing.WaterTest.tank", "housing.WaterTest.tested_at", "housing.WaterTest.note"),
        *(f"housing.WaterTest.{name}" for name in WaterTest.VALUES),
        *("housing.WaterTest.ammonia_as", "housing.WaterTest.nitrite_as"),
        "housing.WaterTest.nitrate_as",
    ),
)
