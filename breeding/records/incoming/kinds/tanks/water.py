"""Water tests: one row a tank and a moment."""

from collections.abc import Sequence

from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from breeding.housing.models import WaterTest
from breeding.housing.water.services import record_water_tests
from breeding.records.incoming.kinds.kept import Again, Kept, all_together, known_by
from breeding.records.incoming.kinds.kind import (
    NOTE,
    Facts,
    Keeping,
    Kind,
    moment_words,
    tank,
    until_now,
    words,
)
from breeding.records.incoming.meanings import Meaning
from breeding.words.language import tell, tell_many

_IONS = ("ammonia_mg_l", "nitrite_mg_l", "nitrate_mg_l")


def _keep_all(rows: Sequence[Facts], keeping: Keeping) -> Sequence[Kept]:
    def make(facts: Facts) -> WaterTest:
        if facts["read_as"] is None and any(facts[one] for one in _IONS):
            raise ValidationError(
                {
                    "read_as": tell(
                        "Does the test read ammonia, nitrite and nitrate as the ion, or as N?"
                    )
                }
            )
        read_as = facts["read_as"] or WaterTest.ReadAs.ION
        return WaterTest(
            tank=facts["tank"],
            tested_at=until_now(facts["tested_at"], keeping),
            note=words(facts, "note").strip(),
            recorded_by=keeping.by,
            ammonia_as=read_as,
            nitrite_as=read_as,
            nitrate_as=read_as,
            **{name: facts[name] for name in WaterTest.VALUES},
        )

    counting = WaterTest.objects.filter(withdrawn_at__isnull=True)
    again = Again[WaterTest](
        lambda row: (row.tank_id, row.tested_at),
        lambda rows: known_by(rows, "tank", "tested_at", found=counting),
        _twice_words,
        "tested_at",
    )
    return all_together(
        rows,
        keeping,
        make=make,
        write=lambda made: record_water_tests(made, now=keeping.now),
        again=again,
    )


def _twice_words(row: WaterTest) -> str:
    return tell(
        "A test of {tank} at {moment} is on record already; this writes a second one.",
        tank=row.tank,
        moment=moment_words(row.tested_at),
    )


WATER = Kind(
    "water",
    _("water test"),
    _("water tests"),
    lambda number: tell_many("{number} water test", "{number} water tests", number),
    (
        tank(),
        Meaning(
            "tested_at",
            _("Tested on"),
            ("date", "tested", "tested on", "tested at", "day", "when", "on", "datum"),
            _("a date, with the time or without: then noon"),
            "moment",
            is_needed=True,
        ),
        Meaning(
            "temperature_c",
            _("Temperature"),
            ("temperature", "temp", "t", "temperatur"),
            _("in °C, or with °F"),
            "temperature",
        ),
        Meaning("ph", _("pH"), ("ph", "p h"), _("a number"), "number"),
        Meaning(
            "ammonia_mg_l",
            _("Total ammonia"),
            ("ammonia", "nh3", "nh4", "nh3 nh4", "tan", "total ammonia", "ammonium"),
            _("in mg/L"),
            "number",
        ),
        Meaning("nitrite_mg_l", _("Nitrite"), ("nitrite", "no2", "nitrit"), _("in mg/L"), "number"),
        Meaning("nitrate_mg_l", _("Nitrate"), ("nitrate", "no3", "nitrat"), _("in mg/L"), "number"),
        Meaning(
            "conductivity_us_cm",
            _("Conductivity"),
            ("conductivity", "ec", "us cm", "µs", "µs cm", "leitwert", "leitfähigkeit"),
            _("in µS/cm"),
            "number",
        ),
        Meaning(
            "kh_dh",
            _("Carbonate hardness"),
            ("kh", "dkh", "carbonate hardness", "karbonathärte", "alkalinity dkh"),
            _("in °dH"),
            "number",
        ),
        Meaning("read_as", _("Read as N or ion"), ("read as", "as"), _("N or ion"), "read_as"),
        NOTE,
    ),
    _keep_all,
    lambda facts: facts["tested_at"],
    takes=(
        *("housing.WaterTest.tank", "housing.WaterTest.tested_at", "housing.WaterTest.note"),
        *(f"housing.WaterTest.{name}" for name in WaterTest.VALUES),
        *("housing.WaterTest.ammonia_as", "housing.WaterTest.nitrite_as"),
        "housing.WaterTest.nitrate_as",
    ),
)
