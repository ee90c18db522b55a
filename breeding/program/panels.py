"""Parts of a page that belong to rooms above its own, so that no page asks upwards."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest
from django.utils.module_loading import import_string

# What draws a part: of the request and what the page is about; an empty answer is left out.
Draw = Callable[[HttpRequest, Any], str]
EVERYWHERE = range(100)


@dataclass(frozen=True, order=True)
class Panel:
    """One part of a page, its place, and the dotted name of what draws it."""

    position: int
    name: str
    draw: str


_panels: dict[str, dict[str, Panel]] = {}


def add_panel(page: str, name: str, draw: str, *, position: int) -> None:
    """Called once by a room above, in its AppConfig.ready; the page is named by its route.

    draw: the dotted name of a `Draw`, which is read with the first page it stands on.
    """
    _panels.setdefault(page, {})[name] = Panel(position, name, draw)


def panels_for(
    page: str, request: HttpRequest, about: Any = None, *, places: range = EVERYWHERE
) -> list[str]:
    """The drawn parts of this page, in their order; of a page in two columns those in `places`."""
    parts = sorted(one for one in _panels.get(page, {}).values() if one.position in places)
    draws: list[Draw] = [import_string(one.draw) for one in parts]
    return [part for draw in draws if (part := draw(request, about))]
