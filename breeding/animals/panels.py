"""Parts of an animal's page, and of the species' page, that belong to rooms above this one."""

from collections.abc import Callable, Mapping
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


# What was learned of each profile, by its key; under "" what is about no profile in particular.
DrawFigures = Callable[[HttpRequest], Mapping[str, str]]
_figure_panels: dict[str, DrawFigures] = {}


def add_figure_panel(name: str, draw: DrawFigures) -> None:
    """Called once by a room above, in its AppConfig.ready."""
    _figure_panels[name] = draw


def figure_panels(request: HttpRequest) -> dict[str, list[str]]:
    """The drawn parts of the species' page, by the key of the profile they are about."""
    found: dict[str, list[str]] = {}
    for _, draw in sorted(_figure_panels.items()):
        for key, part in draw(request).items():
            found.setdefault(key, []).append(part)
    return found
