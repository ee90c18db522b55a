"""Everybody who is here on a card each: what is needed beside a tank, on one page."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from breeding.animals.growth.ahead import latest_widths
from breeding.animals.models import Animal
from breeding.health.hold import Hold
from breeding.health.holds import holds_on
from breeding.housing.models import Stay
from breeding.housing.queries import where_are
from breeding.pairings.season.reading import SeasonReading, seasons
from breeding.program.models import Program

Date = datetime.date


@dataclass(frozen=True)
class Card:
    """One animal that is here. width_mm: by its newest measurement, None for one never measured."""

    animal: Animal
    stay: Stay | None
    season: SeasonReading | None
    holds: Sequence[Hold]
    width_mm: int | None
    measured_on: Date | None

    @property
    def place(self) -> tuple[str, str]:
        """By tank, then by name; those in no tank at the end."""
        return (self.stay.tank.name if self.stay else "\uffff", self.animal.name)


def cards_of_all(program: Program, *, today: Date) -> list[Card]:
    """A card of everybody who is here, tank by tank: as many queries for one as for all."""
    here = Animal.objects.filter(state=Animal.State.HERE, withdrawn_at__isnull=True)
    animals = list(here.select_related("sire", "dam"))
    keys = [one.pk for one in animals]
    stays, widths, holds = where_are(animals), latest_widths(keys), holds_on(keys, today)
    live = {one.female.pk: one for one in seasons(program, asof=today) if one.is_live}
    cards = []
    for one in animals:
        measured_on, width = widths.get(one.pk, (None, None))
        cards.append(
            Card(
                one,
                stays.get(one.pk),
                live.get(one.pk),
                holds.get(one.pk, ()),
                width,
                measured_on,
            )
        )
    return sorted(cards, key=lambda card: card.place)
