"""What each act of the benchmark sends: the page of its form, and what is typed into it."""

import datetime
import random
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.urls import reverse

from benchmarks.programs.grown import Grown
from breeding.animals.models import Animal, Measurement
from breeding.feeding.models import Food
from breeding.housing.models import Stay, Tank
from breeding.pairings.models import SignKind

GROWN_DAYS = 800
SPARE_TANKS = 3


@dataclass(frozen=True)
class Sent:
    """A form: where it stands, what is typed into it, and for whom."""

    page: str
    typed: dict[str, Any]


class Whom:
    """Who can be written of, always in the same order, and which tanks hold whom."""

    def __init__(self, grown: Grown) -> None:
        self.grown, self.today = grown, grown.today
        stays = Stay.objects.filter(until=None, animal__state=Animal.State.HERE)
        self.place: dict[int, Tank] = {}
        self.inside: dict[int, list[Animal]] = {}
        for stay in stays.select_related("animal", "tank").order_by("pk"):
            self.place[stay.animal_id] = stay.tank
            self.inside.setdefault(stay.tank_id, []).append(stay.animal)
        for n in range(SPARE_TANKS):
            Tank.objects.create(name=f"Spare {n}", kind="breeding", volume_litres=1500)
        tanks = list(Tank.objects.order_by("pk"))
        self.empty = [tank for tank in tanks if tank.pk not in self.inside]
        of_females, of_males = ({t.pk for t in tanks if self._grown_in(t, sex)} for sex in "FM")
        self.female_tanks = [t for t in tanks if t.pk in of_females - of_males]
        self.male_tanks = [t for t in tanks if t.pk in of_males - of_females]
        self.mixed_tanks = [t for t in tanks if t.pk in of_females & of_males]
        draw = random.Random(1)  # noqa: S311  (the same each time)
        self.females, self.males, self.pups = (
            draw.sample(held, len(held))
            for held in (
                [one for one in animals if one.pk in self.place]
                for animals in (grown.females, grown.males, grown.pups)
            )
        )

    def _grown_in(self, tank: Tank, sex: str) -> bool:
        since = self.today - datetime.timedelta(days=GROWN_DAYS)
        inside = self.inside.get(tank.pk, ())
        return any(one.sex == sex and one.born_on and one.born_on < since for one in inside)


def _another(tanks: list[Tank], than: Tank, n: int) -> Tank:
    others = [tank for tank in tanks if tank != than]
    return others[n % len(others)]


def _nth(held: list[Any], n: int) -> Any:
    return held[n % len(held)]


def _move(whom: Whom, one: Animal, tank: Tank | None) -> Sent:
    place = str(tank.pk) if tank else "none"
    return Sent(reverse("housing:move", args=[one.pk]), {"tank": place, "on": whom.today})


def _of_all(whom: Whom, tank: Tank) -> Sent:
    typed = {"tank": str(whom.empty[0].pk), "on": whom.today}
    return Sent(reverse("housing:move_all", args=[tank.pk]), typed)


def _weight(one: Animal) -> Sent:
    """As wide as it was last, and one gram heavier."""
    last = Measurement.objects.filter(animal=one, weight_g__isnull=False).latest("on", "pk")
    width, weight = (last.disc_width_mm or 0) / 10, (last.weight_g or 0) + 1
    typed = {"disc_width_mm": f"{width}", "weight_g": weight}
    return Sent(reverse("animals:measure", args=[one.pk]), typed)


def _sighting(whom: Whom, n: int) -> Sent:
    kind = SignKind.objects.get(key="biting")
    typed = {"female": whom.females[n].pk, "kind": kind.pk, "with_whom": "nobody"}
    return Sent(reverse("pairings:log"), typed)


def _feeding(whom: Whom, n: int) -> Sent:
    food = Food.objects.order_by("pk")[0]
    return Sent(reverse("feeding:tank", args=[whom.grown.tanks[n].pk]), {"food": food.pk})


def _water_test(whom: Whom, n: int) -> Sent:
    page = reverse("housing:water_test", args=[whom.grown.tanks[n].pk])
    return Sent(page, {"temperature_c": "27", "ph": "6.5"})


def _note(whom: Whom, n: int) -> Sent:
    return Sent(reverse("pairings:log_note"), {"female": whom.females[n].pk, "note": "Pale today"})


def _treatment(whom: Whom, n: int) -> Sent:
    typed = {"animal": whom.females[n].pk, "remedy": "Salt", "since": whom.today}
    return Sent(reverse("health:treat"), typed)


def _apart(whom: Whom, n: int) -> Sent:
    one = whom.females[n]
    return Sent(
        reverse("health:keep_apart", args=[one.pk]), {"animals": [one.pk], "since": whom.today}
    )


def _separation(whom: Whom, n: int) -> Sent:
    pairing = whom.grown.pairings[-1 - n]
    typed = {"moved": "male", "tank": str(whom.empty[0].pk), "on": whom.today}
    return Sent(reverse("pairings:separate", args=[pairing.pk]), typed)


def _sale(whom: Whom, n: int) -> Sent:
    contact = _nth(whom.grown.contacts, n)
    typed = {"contact": contact.pk, "on": whom.today, "transport": "own_car"}
    return Sent(reverse("buyers:hand_over", args=[whom.pups[n].pk]), typed)


def _death(whom: Whom, n: int) -> Sent:
    typed = {"state": "died", "on": whom.today}
    return Sent(reverse("animals:state", args=[whom.pups[-1 - n].pk]), typed)


def _birth(whom: Whom, n: int) -> Sent:
    """Eight living young of one who was last seen with a male long enough ago."""
    pairing = next(one for one in whom.grown.pairings if one.separated_on is None)
    typed = {"dam": pairing.female_id, "born_on": whom.today, "alive_count": 8}
    return Sent(reverse("litters:new"), typed)


ACTS: dict[str, Callable[[Whom, int], Sent]] = {
    "sighting": _sighting,
    "feeding": _feeding,
    "weight of a female": lambda whom, n: _weight(whom.females[n]),
    "weight of a pup": lambda whom, n: _weight(whom.pups[n]),
    "water test": _water_test,
    "move, female to nobody": lambda whom, n: _move(whom, whom.females[n], _nth(whom.empty, n)),
    "move, female to males": lambda whom, n: _move(
        whom, whom.females[n], _another(whom.male_tanks, whom.place[whom.females[n].pk], n)
    ),
    "move, male to females": lambda whom, n: _move(
        whom, whom.males[n], _another(whom.female_tanks, whom.place[whom.males[n].pk], n)
    ),
    "move, pup to both": lambda whom, n: _move(
        whom, whom.pups[n], _another(whom.mixed_tanks, whom.place[whom.pups[n].pk], n)
    ),
    "move, pup to females": lambda whom, n: _move(
        whom, whom.pups[n], _another(whom.female_tanks, whom.place[whom.pups[n].pk], n)
    ),
    "move, out of all": lambda whom, n: _move(whom, whom.females[n], None),
    "move, all females": lambda whom, n: _of_all(whom, _nth(whom.female_tanks, n)),
    "move, all of a tank of both": lambda whom, n: _of_all(whom, _nth(whom.mixed_tanks, n)),
    "kept apart": _apart,
    "note": _note,
    "treatment": _treatment,
    "separation": _separation,
    "sale": _sale,
    "death": _death,
    "birth": _birth,
}
