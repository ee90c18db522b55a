"""Everybody who is here on a card each: what is needed beside a tank, tank by tank."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from breeding.animals.around import everybody_around
from breeding.animals.growth.ahead import latest_widths
from breeding.animals.models import Animal
from breeding.health.hold import Hold
from breeding.health.holds import holds_on
from breeding.housing.models import Stay
from breeding.housing.stays.lately import in_tanks_now
from breeding.pairings.season.reading import SeasonReading, seasons
from breeding.program.models import Program

Date = datetime.date
A_PAGE = 100  # cards: what a device keeps for a look beside a tank comes in pages of so many


@dataclass(frozen=True)
class Placed:
    """One animal that is here, and where."""

    animal: Animal
    stay: Stay | None

    @property
    def place(self) -> tuple[str, str]:
        """By tank, then by name; those in no tank at the end."""
        return (self.stay.tank.name if self.stay else "\uffff", self.animal.name)


@dataclass(frozen=True)
class Card:
    """What stands on its card. width_mm: by its newest measurement, None for one never measured."""

    animal: Animal
    stay: Stay | None
    sire: Animal | None
    dam: Animal | None
    season: SeasonReading | None
    holds: Sequence[Hold]
    width_mm: int | None
    measured_on: Date | None


def everybody_placed(*, today: Date) -> list[Placed]:
    """Everybody who is here, in the order of the cards: two queries."""
    stays = {stay.animal_id: stay for stay in in_tanks_now(today)}
    here = (one for one in everybody_around(today) if one.is_here)
    return sorted((Placed(one, stays.get(one.pk)) for one in here), key=lambda one: one.place)


def cards_of(placed: Sequence[Placed], program: Program, *, today: Date) -> list[Card]:
    """A card of each of these, in their order: as many queries for one as for all."""
    keys = [one.animal.pk for one in placed]
    widths, holds = latest_widths(keys), holds_on(keys, today)
    parents = {key for one in placed for key in (one.animal.sire_id, one.animal.dam_id) if key}
    known = Animal.every.in_bulk(parents)
    live = {one.female.pk: one for one in seasons(program, asof=today) if one.is_live}
    cards = []
    for one in placed:
        animal = one.animal
        measured_on, width = widths.get(animal.pk, (None, None))
        cards.append(
            Card(
                animal,
                one.stay,
                known.get(animal.sire_id or 0),
                known.get(animal.dam_id or 0),
                live.get(animal.pk),
                holds.get(animal.pk, ()),
                width,
                measured_on,
            )
        )
    return cards


@dataclass(frozen=True)
class Shelf:
    """A tank, and the page on which its cards begin; no name: in no tank."""

    name: str
    page: int
    tank: int | None


def shelves_of(placed: Sequence[Placed]) -> list[Shelf]:
    """Every tank in the order of the cards."""
    found: dict[int | None, Shelf] = {}
    for number, one in enumerate(placed):
        tank = one.stay.tank if one.stay else None
        key = tank.pk if tank else None
        if key not in found:
            found[key] = Shelf(tank.name if tank else "", number // A_PAGE + 1, key)
    return list(found.values())
