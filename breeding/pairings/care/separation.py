"""Taking two apart: where they are, where one of them can go, and when to be careful."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from breeding.animals.typed.fields import EARLIEST_YEAR
from breeding.housing.models import Stay, Tank
from breeding.housing.queries import stays_over
from breeding.housing.stays.shared_water import share_water
from breeding.pairings.care.parting import ended_with
from breeding.pairings.care.places import TankReading, tank_readings
from breeding.pairings.models import Pairing
from breeding.pairings.season.late import LATE_DAYS
from breeding.pairings.season.reading import SeasonReading
from breeding.program.kinds import kind_words
from breeding.program.models import Program
from breeding.words.days import long_day
from breeding.words.language import tell, tell_many


@dataclass(frozen=True)
class Scene:
    """The two on the day they are taken apart."""

    pairing: Pairing
    home: Tank | None  # the water they share on record
    inside: tuple[Stay, ...]  # everybody in it
    proposals: tuple[TankReading, ...]

    @property
    def can_divide(self) -> bool:
        return self.home is not None and self.home.can_divide


def scene_of(pairing: Pairing, on: datetime.date, program: Program) -> Scene:
    """Where the two are at the end of a day and where one of them can go: seven queries."""
    two = (pairing.female_id, pairing.male_id)
    stays = {stay.animal_id: stay for stay in stays_over(on).filter(animal__in=two)}
    hers, his = stays.get(pairing.female_id), stays.get(pairing.male_id)
    home = Tank.every.get(pk=hers.tank_id) if hers and his and share_water(hers, his) else None
    inside: Sequence[Stay] = ()
    if home is not None:
        inside = list(
            stays_over(on)
            .filter(tank=home)
            .select_related("animal")
            .order_by("animal__call_name", "animal__code")
        )
    others = Tank.objects.exclude(pk=home.pk) if home is not None else Tank.objects.all()
    proposals = tank_readings(
        others, on, program=program, besides=(pairing.female, pairing.male), is_to_be_put=True
    )
    return Scene(pairing, home, tuple(inside), tuple(proposals))


def day_typed(typed: str, today: datetime.date) -> datetime.date:
    """The day in a form's field, for what the page shows beside it; today when it is none.

    >>> day_typed("2026-03-01", datetime.date(2026, 3, 9)).day, day_typed("soon", datetime.date.max)
    (1, datetime.date(9999, 12, 31))
    """
    try:
        on = datetime.date.fromisoformat(typed)
    except ValueError:
        return today
    return on if on.year >= EARLIEST_YEAR and on <= today else today


def parted_with(pairing: Pairing) -> list[Pairing]:
    """This pairing and those that ended with it, because the same animals were moved."""
    beside = ended_with(pairing)
    found = Pairing.objects.filter(
        separated_on=pairing.separated_on, separation_note=beside, withdrawn_at__isnull=True
    )
    return [pairing, *found.exclude(pk=pairing.pk).select_related("female", "male")]


def late_words(season: SeasonReading, on: datetime.date) -> str:
    """Why she is better not moved on this day; nothing when that is not so."""
    estimate = season.estimate
    if estimate.announced is None:
        return ""
    if estimate.announced_chance < season.rules.worth_planning_chance:
        return ""
    opens = estimate.announced.p05
    if on < opens - datetime.timedelta(days=LATE_DAYS):
        return ""
    return tell(
        "{female} is late in pregnancy: her window opens on {day}. Handling a "
        "pregnant {ray} can make her lose the litter, most easily so late. Move "
        "the male or close a divider if you can.",
        female=season.female.name,
        day=long_day(opens),
        ray=kind_words().one,
    )


@dataclass(frozen=True)
class SeparationReading:
    """How two were taken apart, and what the tank was like on that day as far as is known now."""

    pairing: Pairing
    tank: TankReading | None

    @property
    def plan_words(self) -> str:
        """Planned against actual."""
        planned, actual = self.pairing.separation_planned_on, self.pairing.separated_on
        if planned is None:
            return tell("no day was planned")
        if actual is None:
            return tell("planned for {day}", day=long_day(planned))
        days = (actual - planned).days
        if days == 0:
            return tell("on the planned day")
        day = long_day(planned)
        if days > 0:
            return tell_many(
                "{number} day after the planned {day}",
                "{number} days after the planned {day}",
                days,
                day=day,
            )
        return tell_many(
            "{number} day before the planned {day}",
            "{number} days before the planned {day}",
            -days,
            day=day,
        )


def separation_of(pairing: Pairing, program: Program) -> SeparationReading | None:
    """How this pairing ended or is meant to end; None when nothing is planned and nothing done."""
    if pairing.separated_on is None:
        return SeparationReading(pairing, None) if pairing.separation_planned_on else None
    tank = None
    if pairing.moved_to is not None:
        moved = pairing.female if pairing.moved == Pairing.Moved.FEMALE else pairing.male
        readings = tank_readings(
            [pairing.moved_to], pairing.separated_on, program=program, besides=[moved]
        )
        tank = readings[0]
    return SeparationReading(pairing, tank)
