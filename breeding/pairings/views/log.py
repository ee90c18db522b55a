"""Writing down with a wet thumb: what was seen, fed, weighed, done to the water, worth a note."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.views.decorators.http import require_safe

from breeding.animals.models import Animal
from breeding.animals.weighing.page import weighing_page
from breeding.feeding.rounds import food_of_last_time, foods_to_offer
from breeding.housing.models import Tank
from breeding.housing.queries import tanks_with_animals
from breeding.housing.work.queries import usual_percent_of
from breeding.pairings.care.severity import DEGREES
from breeding.pairings.log import acts
from breeding.pairings.log.acts import Moment, Written
from breeding.pairings.log.forms import (
    CHANGE,
    FedForm,
    LogForm,
    NoteForm,
    SeenForm,
    WaterForm,
    WeighedForm,
)
from breeding.pairings.log.who import TANK
from breeding.pairings.log.whom import Whom, likely_now, whom
from breeding.pairings.models import SignKind
from breeding.pairings.queries import everybody_here
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.fields import read_whole
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.offline.readable import readable_offline
from breeding.program.problems.beside import written
from breeding.program.problems.doubts import sure_in

PLACES = {
    "fed_at": "seen_at",
    "changed_at": "seen_at",
    "on": "seen_at",
    "eaters": "female",
    "tanks": "female",
}
MOST_WEIGHED = 60


@dataclass(frozen=True)
class Door:
    """One thing that can be written down: its page, its form, and the act.

    has_tanks, has_animals: what can be chosen. is_of_several: more than one is usual.
    """

    route: str
    form: type[LogForm]
    write: Callable[[dict[str, Any], Moment], Written]
    has_tanks: bool = True
    has_animals: bool = True
    is_of_several: bool = False


DOORS = {
    "seen": Door("pairings:log", SeenForm, acts.write_seen),
    "fed": Door("pairings:log_fed", FedForm, acts.write_fed, is_of_several=True),
    "weighed": Door("pairings:log_weighed", WeighedForm, acts.write_weighed, has_tanks=False),
    "water": Door(
        "pairings:log_water", WaterForm, acts.write_water, has_animals=False, is_of_several=True
    ),
    "note": Door("pairings:log_note", NoteForm, acts.write_note),
}


@readable_offline
@keepers_only
def log(request: PageRequest) -> HttpResponse:
    """What was seen of one, or of several: who, what, done."""
    return _page(request, "seen")


@readable_offline
@keepers_only
def log_fed(request: PageRequest) -> HttpResponse:
    """What was given, to tanks or animals."""
    return _page(request, "fed")


@keepers_only
def log_weighed(request: PageRequest) -> HttpResponse:
    """Weight and size of one; of several as a table."""
    asked = request.GET.getlist("female")
    return _weigh(request, asked) if len(asked) > 1 else _page(request, "weighed")


@readable_offline
@keepers_only
def log_water(request: PageRequest) -> HttpResponse:
    """What was done to the water of tanks."""
    return _page(request, "water")


@readable_offline
@keepers_only
def log_note(request: PageRequest) -> HttpResponse:
    """A few words about animals or tanks."""
    return _page(request, "note")


def _page(request: PageRequest, what: str) -> HttpResponse:
    door, now = DOORS[what], clock.now()
    form = door.form(
        request.POST or None,
        request.FILES or None,
        now=now,
        program=request.program,
        initial={"female": request.GET.getlist("female"), **_asked_kind(request)},
    )
    moment = Moment(now, request.user, request.program, sure_in(request.POST))
    done = written(request, form, lambda: door.write(form.cleaned_data, moment), PLACES)
    if done is not None:
        say(request, done.said)
        return redirect(done.leads_to or _logged(what, done))
    return render(request, "pairings/log.html", _context(request, form, what))


def _asked_kind(request: PageRequest) -> dict[str, Any]:
    key = request.GET.get("kind", "")
    kind = SignKind.objects.filter(key=key).first() if "\x00" not in key and key else None
    return {"kind": kind.pk} if kind else {}


def _logged(what: str, done: Written) -> str:
    about = done.about
    of = {"tank" if isinstance(about, Tank) else "animal": str(about.pk)}
    return f"{reverse('pairings:logged')}?{urlencode({'what': what, **of})}"


def _context(request: PageRequest, form: LogForm, what: str) -> dict[str, Any]:
    words = request.GET.get("q", "").replace("\x00", "").strip()[:60]
    sent = form["female"].value()
    ticked = [str(one) for one in (sent if isinstance(sent, list) else [sent]) if one]
    carried = f"?{urlencode({'female': ticked}, doseq=True)}" if ticked else ""
    door = DOORS[what]
    several = door.is_of_several or "several" in request.GET or len(ticked) > 1
    offered, tanks = Whom(), list(tanks_with_animals()) if not door.has_animals else []
    if door.has_animals:
        offered = whom(likely_now(form.now), words=words, chosen=ticked)
    elif not form.is_bound:
        ticked = _their_tanks(ticked, tanks)
    chosen = offered.chosen(ticked)
    if ticked and not form.is_bound:
        _begin(form, ticked)
    return {
        "form": form,
        "what": what,
        "door": door,
        "whom": offered,
        "alone": chosen[0] if len(chosen) == 1 and len(ticked) == 1 else None,
        "tanks": tanks,
        "ticked": ticked,
        "carried": carried,
        "tank_is_ticked": any(one.startswith(TANK) for one in ticked),
        "several": several,
        "words": words,
        "tank_word": TANK,
        **(_FURTHER[what](form) if what in _FURTHER else {}),
    }


def _their_tanks(sent: list[str], tanks: list[Tank]) -> list[str]:
    """The tanks among these keys, and those the animals among them are in."""
    found = []
    for tank in tanks:
        inside = {str(stay.animal_id) for stay in tank.present_stays}  # type: ignore[attr-defined]
        if not inside.isdisjoint(sent) or f"{TANK}{tank.pk}" in sent:
            found.append(f"{TANK}{tank.pk}")
    return found


def _begin(form: LogForm, sent: list[str]) -> None:
    """Somebody is chosen already: what they had last is ticked, or the first field is at hand."""
    if "food" in form.fields:
        tanks = [pk for one in sent if (pk := read_whole(one.removeprefix(TANK))) and TANK in one]
        animals = [pk for one in sent if TANK not in one and (pk := read_whole(one))]
        form.initial["food"] = food_of_last_time(tanks=tanks, animals=animals)
    if "done" in form.fields and (percent := usual_percent_of(_tanks_in(sent))):
        form.initial["done"] = f"{CHANGE}{percent}"
    for name in ("weight_g", "note"):
        if name in form.fields and (name == "weight_g" or isinstance(form, NoteForm)):
            form.fields[name].widget.attrs["autofocus"] = True


def _tanks_in(sent: list[str]) -> list[Tank]:
    keys = [pk for one in sent if TANK in one and (pk := read_whole(one.removeprefix(TANK)))]
    return list(Tank.objects.filter(pk__in=keys))


def _of_seen(form: LogForm) -> dict[str, Any]:
    return {
        "kinds": list(SignKind.objects.all()),
        "degrees": DEGREES,
        "limit": form.program.separate_at_severity,
    }


def _of_fed(form: LogForm) -> dict[str, Any]:
    return {"foods": foods_to_offer(None, timezone.localdate(form.now))}


_FURTHER: dict[str, Callable[[LogForm], dict[str, Any]]] = {"seen": _of_seen, "fed": _of_fed}


def _weigh(request: PageRequest, asked: list[str]) -> HttpResponse:
    """Several, as one table."""
    keys = [pk for one in asked[:MOST_WEIGHED] if (pk := read_whole(one))]
    found = everybody_here().filter(pk__in=keys).select_related("portrait")
    animals = list(found.order_by("call_name", "code"))
    return weighing_page(
        request,
        "pairings/_weigh_several.html",
        animals,
        about={"has_females": any(one.sex == Animal.Sex.FEMALE for one in animals)},
        back=f"{reverse('pairings:logged')}?what=weighed",
    )


@require_safe
def logged(request: PageRequest) -> HttpResponse:
    """It is written: undo it, log another, or go on; a second tap on Save ends here."""
    what = request.GET.get("what", "seen")
    animal, tank = (read_whole(request.GET.get(name, "")) for name in ("animal", "tank"))
    context = {
        "again": DOORS.get(what, DOORS["seen"]).route,
        "animal": Animal.objects.filter(pk=animal).first() if animal else None,
        "tank": Tank.objects.filter(pk=tank).first() if tank else None,
    }
    return render(request, "pairings/logged.html", context)
