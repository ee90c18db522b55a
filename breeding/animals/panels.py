"""Parts of an animal's page that belong to rooms above this one: they come to it."""

from collections.abc import Callable
from dataclasses import dataclass

from django.http import HttpRequest

from breeding.animals.models import Animal

Draw = Callable[[HttpRequest, Animal], str]


@dataclass(frozen=True, order=True)
class Panel:
    """A drawer of one part of the page and its place; an empty answer is left out."""

    position: int
    name: str
    draw: Draw


_panels: dict[str, Panel] = {}


def add_panel(name: str, draw: Draw, *, position: int) -> None:
    """Called once by a room above, in its AppConfig.ready."""
    _panels[name] = Panel(position, name, draw)


def panels_for(request: HttpRequest, animal: Animal) -> list[str]:
    """The drawn parts for this animal, in their order."""
    drawn = [panel.draw(request, animal) for panel in sorted(_panels.values())]
    return [part for part in drawn if part]
