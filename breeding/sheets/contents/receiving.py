"""What a sheet says on receiving the animal: the journey, the seller's water, the first weeks."""

import datetime
from typing import Any

from django.utils import timezone

from breeding.animals.models import Animal
from breeding.buyers.models import MOST_HOURS_ON_ONE_OXYGEN
from breeding.housing.models import Stay, WaterTest
from breeding.program.models import Program
from breeding.program.reference.cautions import cautions
from breeding.sheets.contents.facts import standard_arrival
from breeding.words.days import long_day
from breeding.words.kinds import RAYS, KindWords
from breeding.words.language import tell, tell_many
from breeding.words.numbers import figure, joined

# Common practice says "about a day" in the bag; from here on dripping is advised against, and
# fixtures/cautions.json says "half a day". An assumption, on the safe side: what is feared is
# harder water let into a fouled bag, and that grows by the hour.
LONG_HOURS = 12
MOST_HOURS = 96


def arrival_words(hours: int | None) -> str:
    """How to receive an animal after so many hours in the bag; None: both ways are said.

    >>> "slow drops" in arrival_words(3), "do not drip" in arrival_words(3)
    (True, False)
    >>> "slow drops" in arrival_words(30), "do not drip" in arrival_words(30)
    (False, True)
    """
    if hours is None:
        return standard_arrival(is_long_journey=None)
    how = standard_arrival(is_long_journey=hours >= LONG_HOURS)
    bag = tell_many("About {number} hour in the bag.", "About {number} hours in the bag.", hours)
    words = f"{bag} {how}"
    if hours > MOST_HOURS_ON_ONE_OXYGEN:
        words += " " + cautions()["oxygen"].short
    return words


def first_weeks_words(kinds: KindWords = RAYS) -> str:
    return cautions(kinds)["first_weeks"].short


def water_words(animal: Animal, program: Program, *, on: datetime.date) -> str:
    """The latest test of the tank it lives in: "27.0 °C, pH 6.8, nitrite not detectable; ..."."""
    stay = Stay.objects.filter(animal=animal, until__isnull=True).first()
    if stay is None:
        return ""
    tests = WaterTest.objects.filter(
        tank=stay.tank_id, withdrawn_at__isnull=True, tested_at__date__lte=on
    )
    test = tests.order_by("-tested_at", "-pk").first()
    return "" if test is None else _test_words(test, program)


def _test_words(test: WaterTest, program: Program) -> str:
    parts = []
    if test.temperature_c is not None:
        celsius = float(test.temperature_c)
        shown = celsius if program.temperature_unit == "C" else celsius * 9 / 5 + 32
        parts.append(f"{figure(shown, 1)} °{program.temperature_unit}")
    if test.ph is not None:
        parts.append(f"pH {figure(float(test.ph), 1)}")
    none = []
    for words, value, read_as in (
        (tell("total ammonia"), test.ammonia_mg_l, test.ammonia_as),
        (tell("nitrite"), test.nitrite_mg_l, test.nitrite_as),
        (tell("nitrate"), test.nitrate_mg_l, test.nitrate_as),
    ):
        if value is None:
            continue
        if value == 0:
            none.append(words)
        else:
            parts.append(f"{words} {_plain(value)} mg/L {WaterTest.ReadAs(read_as).label}")
    if none:
        parts.append(tell("{substances} not detectable", substances=joined(none)))
    return tell(
        "{readings}; its tank, tested on {day}",
        readings=", ".join(parts),
        day=long_day(timezone.localdate(test.tested_at)),
    )


def _plain(value: Any) -> str:
    return f"{float(value):g}"
