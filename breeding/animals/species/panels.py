"""Parts of the species' page that belong to rooms above this one."""

from collections.abc import Callable, Mapping

from django.http import HttpRequest

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
