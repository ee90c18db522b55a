"""Taking two apart: where they are, which tanks are free with fit water, and when to be careful."""

import datetime
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace

from breeding.animals.fields import EARLIEST_YEAR
from breeding.animals.models import Animal
from breeding.housing.models import Stay, Tank
from breeding.housing.queries import Place, stays_over
from breeding.housing.room.asking import with_room
from breeding.housing.stays.shared_water import share_water
from breeding.housing.water.fit import WaterFit
from breeding.housing.water.queries import water_fits
from breeding.pairings.care.parting import ended_with
from breeding.pairings.company.doors import concerns_between
from breeding.pairings.company.known import LATE_DAYS, Known, known_of
from breeding.pairings.models import Pairing
from breeding.pairings.season.reading import SeasonReading
from breeding.program.kinds import kind_words
from breeding.program.models import Program
from breeding.words.days import long_day
from breeding.words.language import tell, tell_many
from breeding.words.numbers import joined

TANKS_SHOWN = 4  # about what a phone shows at once


@dataclass(frozen=True)
class TankReading:
    """A tank, or one side of its closed divider, on a day: who else is in it, and its water.

    against: what speaks against those that are to be put there meeting the others. room: what is
    said of the room there, where there is too little for them.
    """

    tank: Tank
    side: str
    others: tuple[Animal, ...]
    water: WaterFit
    against: tuple[str, ...] = ()
    room: str = ""

    @property
    def key(self) -> str:
        """As a form sends it: "12" or "12:left"."""
        return f"{self.tank.pk}:{self.side}" if self.side else f"{self.tank.pk}"

    @property
    def is_free(self) -> bool:
        return not self.others

    @property
    def males(self) -> tuple[Animal, ...]:
        return tuple(one for one in self.others if one.sex == Animal.Sex.MALE)

    @property
    def is_proposed(self) -> bool:
        return self.is_free and self.water.fit is True

    @property
    def company_words(self) -> str:
        return (
            tell("with {names}", names=joined([one.name for one in self.others]))
            if self.others
            else tell("free")
        )

    def __str__(self) -> str:
        return Stay(tank=self.tank, side=self.side).place


def tank_readings(
    tanks: Iterable[Tank],
    on: datetime.date,
    *,
    program: Program,
    besides: Collection[Animal] = (),
    is_to_be_put: bool = False,
) -> list[TankReading]:
    """These tanks on a day, those that are free with fit water first: four queries.

    `besides`: animals that do not count as company, as the one that is to be put there.
    `is_to_be_put`: one of these is, so what speaks against each tank is said; tanks with anything
    come last. A handful of queries more, whatever the number of tanks.
    """
    tanks = list(tanks)
    waters = water_fits(tanks, on, program=program)
    stays = stays_over(on).filter(tank__in=tanks).exclude(animal__in=[one.pk for one in besides])
    inside: dict[int, list[Stay]] = {tank.pk: [] for tank in tanks}
    for stay in stays.select_related("animal").order_by("animal__call_name", "animal__code"):
        inside[stay.tank_id].append(stay)
    found = []
    for tank in tanks:
        sides = [""]
        if any(stay.side for stay in inside[tank.pk]):
            sides = [Stay.Side.LEFT, Stay.Side.RIGHT]
        for side in sides:
            others = [
                stay.animal for stay in inside[tank.pk] if not side or stay.side in ("", side)
            ]
            found.append(TankReading(tank, side, tuple(others), waters[tank.pk]))
    if is_to_be_put:
        found = _with_what_speaks_against(found, besides, on, program)
        found = _with_room(found, besides, on)
    return sorted(found, key=_best_first)


def _best_first(one: TankReading) -> tuple[bool, bool, bool, bool, str]:
    """Among those alike in all that matters more, one with room before one without."""
    return bool(one.against), not one.is_proposed, bool(one.room), not one.is_free, str(one)


def _with_room(
    places: Sequence[TankReading], coming: Collection[Animal], on: datetime.date
) -> list[TankReading]:
    """The same places, each with what is said of room for the first who is to be put there.

    Of two that are taken apart one moves: the female stands for both.
    """
    first = list(coming)[:1]
    as_places = [
        Place(one.tank, one.side, tuple(Stay(animal=other) for other in one.others))
        for one in places
    ]
    said = with_room(as_places, first, asof=on)
    return [replace(one, room=place.room) for one, place in zip(places, said, strict=True)]


def _with_what_speaks_against(
    places: Sequence[TankReading],
    coming: Collection[Animal],
    on: datetime.date,
    program: Program,
) -> list[TankReading]:
    """The same places, each with what is asked when one of these is put there."""
    everybody = {one.pk: one for place in places for one in place.others}
    if not everybody:
        return list(places)
    known = known_of([*everybody.values(), *coming], program, on=on)
    return [
        replace(place, against=_against(place, coming, known)) if place.others else place
        for place in places
    ]


def _against(place: TankReading, coming: Collection[Animal], known: Known) -> tuple[str, ...]:
    concerns = [
        concern
        for animal in coming
        for concern in concerns_between([animal], place.others, place.tank, known)
        if concern.answer != "said"
    ]
    return tuple({line: None for concern in concerns for line in concern.sentences})


def best_few(
    places: Sequence[TankReading], chosen: str = ""
) -> tuple[list[TankReading], list[TankReading]]:
    """The best few, with the chosen one by its key wherever it stands; and the rest, to fold away.

    What has anything against it is never among the few. A single other one is not folded: its line
    takes no more room than the fold.
    """
    few = [
        one
        for at, one in enumerate(places)
        if (at < TANKS_SHOWN and not one.against) or (chosen and one.key == chosen)
    ]
    rest = [one for one in places if one not in few]
    if len(rest) > 1 or any(one.against for one in rest):
        return few, rest
    return list(places), []


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
    """Where the two are at the end of a day and where one of them can go: six queries."""
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
