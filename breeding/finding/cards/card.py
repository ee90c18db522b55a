"""What stands on a card, and where its code leads."""

import ipaddress
from collections.abc import Iterable
from dataclasses import dataclass
from urllib.parse import urlsplit

from django.urls import reverse

from breeding.animals.models import Animal
from breeding.housing.models import Stay, Tank


@dataclass(frozen=True)
class Card:
    """A name to read from afar, what stands small beside it, and the path of its page."""

    name: str
    lines: tuple[str, ...]
    path: str


def card_of_animal(animal: Animal) -> Card:
    code = (animal.code,) if animal.call_name else ()
    sex = () if animal.sex == Animal.Sex.UNKNOWN else (animal.get_sex_display(),)
    return Card(animal.name, (*code, *sex), reverse("finding:go_animal", args=[animal.pk]))


def card_of_tank(tank: Tank) -> Card:
    return Card(
        tank.name, (str(tank.get_kind_display()),), reverse("finding:go_tank", args=[tank.pk])
    )


def animals_in(tank: Tank) -> list[Animal]:
    """Who is in a tank, by name: one query."""
    stays = Stay.objects.filter(tank=tank, until__isnull=True).select_related("animal")
    return sorted((one.animal for one in stays), key=lambda one: one.name)


def cards_of(things: Iterable[Animal | Tank]) -> list[Card]:
    return [card_of_animal(one) if isinstance(one, Animal) else card_of_tank(one) for one in things]


def is_reached_by_phones(base: str) -> bool:
    """Whether another machine reaches this address at all.

    >>> is_reached_by_phones("http://192.168.1.20:8000/"), is_reached_by_phones("http://tanks.lan/")
    (True, True)
    >>> is_reached_by_phones("http://127.0.0.1:8000/"), is_reached_by_phones("http://localhost/")
    (False, False)
    >>> is_reached_by_phones("http://[::1]:8000/"), is_reached_by_phones("")
    (False, False)
    """
    name = (urlsplit(base).hostname or "").rstrip(".").lower()
    try:
        return not ipaddress.ip_address(name).is_loopback
    except ValueError:
        return bool(name) and name != "localhost" and not name.endswith(".localhost")
