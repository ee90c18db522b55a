"""Parts of a page that belong to rooms above its own, so that no page asks upwards."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest

# What draws a part: of the request and what the page is about; an empty answer is left out.
Draw = Callable[[HttpRequest, Any], str]


@dataclass(frozen=True, order=True)
class Panel:
    """A drawer of one part of a page and its place."""

    position: int
    name: str
    draw: Draw


_panels: dict[str, dict[str, Panel]] = {}


def add_panel(page: str, name: str, draw: Draw, *, position: int) -> None:
    """Called once by a room above, in its AppConfig.ready; the page is named by its route."""
    _panels.setdefault(page, {})[name] = Panel(position, name, draw)


def panels_for(page: str, request: HttpRequest, about: Any = None) -> list[str]:
    """The drawn parts of this page, in their order."""
    drawn = [panel.draw(request, about) for panel in sorted(_panels.get(page, {}).values())]
    return [part for part in drawn if part]
