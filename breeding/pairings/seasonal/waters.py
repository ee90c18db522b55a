"""The water a female was in over some days: readings, changes, and what was seen of her meanwhile.

Asked for several females and their days at once; writes nothing.
"""

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from django.db.models import Q
from django.utils import timezone

from breeding.animals.models import Animal
from breeding.gestation.profile import MATING_SEEN
from breeding.housing.course.marks import Mark
from breeding.housing.course.readings import QUANTITIES, Readings, midnight
from breeding.housing.course.span import Span
from breeding.housing.models import Stay, Tank, WaterChange, WaterTest
from breeding.housing.water.queries import standing_tests
from breeding.housing.work.queries import change_words, shares_water
from breeding.pairings.models import Outcome, Sighting
from breeding.program.models import Program
from breeding.words.language import message, tell

Date = datetime.date
SHOWN = 6  # matings on one page
BEFORE_DAYS, AFTER_DAYS = 90, 30
MOST_READ = 2000
MOST_SEEN = 400
# The shapes that the drawing knows by another name in a tank's own course.
NAMES = {
    "in": message("mating seen"),
    "care": message("another sign seen"),
    "out": message("birth"),
    "change": message("water changed"),
}


@dataclass(frozen=True)
class Window:
    """A female and the days that are asked about; about: the mating they are drawn around."""

    female: Animal
    span: Span
    about: Date | None = None


@dataclass
class Strip:
    """What is on record of one window."""

    window: Window
    tanks: list[str]
    readings: Readings
    marks: list[Mark] = field(default_factory=list)


def matings(*, before: Date | None = None, most: int = SHOWN) -> list[tuple[Animal, Date]]:
    """The latest days on which a mating was seen, one a female and day: one query."""
    seen = Sighting.objects.filter(kind__key=MATING_SEEN, withdrawn_at__isnull=True)
    if before is not None:
        seen = seen.filter(seen_at__lt=midnight(before))
    found: dict[tuple[int, Date], Animal] = {}
    for one in seen.select_related("female").order_by("-seen_at", "-pk")[: most * 4]:
        found.setdefault((one.female_id, timezone.localdate(one.seen_at)), one.female)
    return [(female, on) for (_, on), female in list(found.items())[:most]]


def around(female: Animal, on: Date, today: Date) -> Window:
    """The days before a mating and some after it, as far as they have been."""
    last = min(on + datetime.timedelta(days=AFTER_DAYS), today)
    first = on - datetime.timedelta(days=BEFORE_DAYS)
    return Window(female, Span((last - first).days + 1, last), on)


def strips_of(windows: Sequence[Window], program: Program) -> list[Strip]:
    """The water and the signs of each window, in its order: five queries, however many.

    A test or a change counts for her when it was of her tank, or of one that shares its water,
    on a day on which she was in it.
    """
    if not windows:
        return []
    stays = _stays(windows)
    tests, changes = _tests(stays, windows), _changes(stays, windows)
    seen, births = _seen(windows), _births(windows)
    return [
        _strip(window, stays.get(window.female.pk, []), tests, changes, seen, births, program)
        for window in windows
    ]


def _strip(
    window: Window,
    stays: Sequence[Stay],
    tests: Iterable[WaterTest],
    changes: Iterable[WaterChange],
    seen: Iterable[Sighting],
    births: Iterable[Outcome],
    program: Program,
) -> Strip:
    points: dict[str, list[tuple[datetime.datetime, float]]] = {what: [] for what in QUANTITIES}
    here = [stay for stay in stays if _within(stay, window.span)]
    counted = 0
    for test in tests:
        at = timezone.localtime(test.tested_at)
        if _is_hers(test.tank, at.date(), here, window.span):
            counted += 1
            for what, value in (
                ("temperature", test.temperature_c),
                ("conductivity", test.conductivity_us_cm),
            ):
                if value is not None:
                    points[what].append((at, float(value)))
    marks = [
        Mark(on, "change", tell("water changed, {change}", change=change_words(change, program)))
        for change in changes
        for on in [timezone.localdate(change.changed_at)]
        if _is_hers(change.tank, on, here, window.span)
    ]
    marks += _signs(window, seen, births)
    tanks = list(dict.fromkeys(stay.tank.name for stay in here))
    return Strip(window, tanks, Readings(points, counted), sorted(marks))


def _signs(window: Window, seen: Iterable[Sighting], births: Iterable[Outcome]) -> list[Mark]:
    found = []
    for one in seen:
        on = timezone.localdate(one.seen_at)
        if one.female_id == window.female.pk and window.span.first <= on <= window.span.last:
            kind = "in" if one.kind.key == MATING_SEEN else "care"
            found.append(Mark(on, kind, one.kind.said_within))
    for birth in births:
        if birth.female_id == window.female.pk and (
            window.span.first <= birth.on <= window.span.last
        ):
            found.append(Mark(birth.on, "out", birth.get_kind_display()))
    return found


def _is_hers(tank: Tank, on: Date, stays: Sequence[Stay], span: Span) -> bool:
    return span.first <= on <= span.last and any(
        stay.since <= on <= (stay.ended_on or Date.max) and shares_water(tank, stay.tank)
        for stay in stays
    )


def _within(stay: Stay, span: Span) -> bool:
    return stay.since <= span.last and (stay.ended_on or Date.max) >= span.first


def _ends(windows: Sequence[Window]) -> tuple[Date, Date]:
    return min(one.span.first for one in windows), max(one.span.last for one in windows)


def _stays(windows: Sequence[Window]) -> dict[int, list[Stay]]:
    first, last = _ends(windows)
    rows = Stay.objects.filter(
        Q(until__isnull=True) | Q(until__gte=first),
        animal__in={one.female.pk for one in windows},
        since__lte=last,
    )
    found: dict[int, list[Stay]] = {}
    for stay in rows.select_related("tank", "animal").order_by("since", "pk"):
        found.setdefault(stay.animal_id, []).append(stay)
    return found


def _in_days(stays: dict[int, list[Stay]], windows: Sequence[Window], column: str) -> Q:
    """Rows of the tanks of each window, and of those that share the water, in its days."""
    found = Q(pk__in=[])
    for window in windows:
        here = [one for one in stays.get(window.female.pk, []) if _within(one, window.span)]
        systems = {one.tank.system_id for one in here if one.tank.system_id is not None}
        of_tanks = Q(tank__in={one.tank_id for one in here})
        if systems:
            of_tanks |= Q(tank__system__in=systems)
        after = midnight(window.span.last + datetime.timedelta(days=1))
        during = {f"{column}__gte": midnight(window.span.first), f"{column}__lt": after}
        found |= Q(of_tanks, **during)
    return found


def _tests(stays: dict[int, list[Stay]], windows: Sequence[Window]) -> list[WaterTest]:
    rows = standing_tests().filter(
        _in_days(stays, windows, "tested_at"),
        Q(temperature_c__isnull=False) | Q(conductivity_us_cm__isnull=False),
    )
    newest = rows.select_related("tank").order_by("-tested_at", "-pk")[:MOST_READ]
    return list(newest)[::-1]


def _changes(stays: dict[int, list[Stay]], windows: Sequence[Window]) -> list[WaterChange]:
    rows = WaterChange.objects.filter(_in_days(stays, windows, "changed_at"))
    newest = rows.select_related("tank", "source").order_by("-changed_at", "-pk")[:MOST_READ]
    return list(newest)


def _seen(windows: Sequence[Window]) -> list[Sighting]:
    first, last = _ends(windows)
    rows = Sighting.objects.filter(
        female__in={one.female.pk for one in windows},
        withdrawn_at__isnull=True,
        seen_at__gte=midnight(first),
        seen_at__lt=midnight(last + datetime.timedelta(days=1)),
    )
    return list(rows.select_related("kind").order_by("-seen_at")[:MOST_SEEN])


def _births(windows: Sequence[Window]) -> list[Outcome]:
    first, last = _ends(windows)
    return list(
        Outcome.objects.filter(
            female__in={one.female.pk for one in windows},
            kind__in=Outcome.BIRTHS,
            withdrawn_at__isnull=True,
            on__gte=first,
            on__lte=last,
        )
    )
