"""What the pairings' room adds to an animal's page."""

from typing import Any

from django.http import HttpRequest
from django.template.loader import render_to_string

from breeding.animals.models import Animal
from breeding.animals.species.profiles import all_profiles
from breeding.pairings.care.healing import harm_open_of
from breeding.pairings.care.wounds import harm_of
from breeding.pairings.models import Pairing
from breeding.pairings.season.drawings import draw_season
from breeding.pairings.season.maybe import has_no_season_yet
from breeding.pairings.season.past.learned import learned_of_all
from breeding.pairings.season.past.lessons import every_closed
from breeding.pairings.season.reading import season_of
from breeding.program import clock

SEEN_SHOWN, PAIRINGS_SHOWN = 8, 20
MOST_BIRTHS = 50  # named under what they have taught, the latest


def season_panel(request: HttpRequest, animal: Animal) -> str:
    """A female's season: the first thing that is looked for on her page."""
    if animal.sex != Animal.Sex.FEMALE:
        return ""
    today = clock.today()
    context: dict[str, Any] = {"animal": animal, "open_harm": harm_open_of(animal, asof=today)}
    if has_no_season_yet(animal, today):
        return render_to_string("pairings/season/_none_panel.html", context, request)
    reading = season_of(animal, request.program, asof=today)  # type: ignore[attr-defined]
    if reading.since is None and reading.last_outcome is None:
        return render_to_string("pairings/season/_none_panel.html", context, request)
    context |= {"season": reading, "drawing": draw_season(reading), "harm": harm_of(reading)}
    return render_to_string("pairings/season/_panel.html", context, request)


def seen_panel(request: HttpRequest, animal: Animal) -> str:
    """A male's pairings, and what was seen of one that has no season."""
    if animal.sex == Animal.Sex.FEMALE:
        return ""
    if animal.sex == Animal.Sex.MALE:
        return _pairings_of(request, animal) + _seen_of(request, animal)
    return _seen_of(request, animal)


def _pairings_of(request: HttpRequest, male: Animal) -> str:
    his = Pairing.objects.filter(male=male, withdrawn_at__isnull=True).select_related("female")
    context = {"animal": male, "pairings": list(his[:PAIRINGS_SHOWN])}
    return render_to_string("pairings/_male_panel.html", context, request)


def _seen_of(request: HttpRequest, animal: Animal) -> str:
    """What was seen of it, the latest first."""
    seen = animal.sightings.filter(withdrawn_at__isnull=True).select_related("kind", "recorded_by")
    context: dict[str, Any] = {
        "animal": animal,
        "open_harm": harm_open_of(animal, asof=clock.today()),
        "sightings": list(seen[:SEEN_SHOWN]),
    }
    return render_to_string("pairings/_seen_panel.html", context, request)


def learned_figures(request: HttpRequest) -> dict[str, str]:
    """What the program's own births have taught of each profile; and where signs are."""
    closed = every_closed()
    every = all_profiles().every
    learned = learned_of_all(closed.seasons, every, closed.kinds, asof=clock.today())
    parts: dict[str, str] = {
        key: render_to_string(
            "pairings/_learned.html",
            {
                "found": found[-MOST_BIRTHS:],
                "number": len(found),
                "count": one.births,
                "learned": one.profile,
                "prior": one.prior,
            },
            request,
        )
        for key, (one, found) in learned.items()
    }
    parts[""] = render_to_string("pairings/_signs_link.html", {}, request)
    return parts
