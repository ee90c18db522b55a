"""Moving one animal or all of a tank."""

from typing import Any

from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from breeding.animals.models import Animal
from breeding.housing import queries, services
from breeding.housing.models import Stay, Tank
from breeding.housing.queries import Place
from breeding.housing.room.asking import with_room
from breeding.housing.stays import following
from breeding.housing.stays.forms import MoveForm
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import written
from breeding.program.problems.doubts import reason_in, sure_in
from breeding.words.days import long_day
from breeding.words.language import sentences, tell

OLD_NEWS = "old_news"


@keepers_only
def move(request: PageRequest, animal_pk: int) -> HttpResponse:
    """Move an animal to another tank, or out of all of them: one act on a phone."""
    animal = get_object_or_404(Animal, pk=animal_pk)
    stay = queries.where_are([animal]).get(animal.pk)
    offers = following.offers_for([animal])
    form = MoveForm(
        request.POST or None, places=_chosen(request), today=clock.today(), offers=offers
    )
    if said := written(request, form, lambda: _move(request, animal, form), {"side": "tank"}):
        say(request, said)
        if form.cleaned_data["old_news"]:
            return redirect("housing:stays", animal.pk)
        return redirect(animal)
    everywhere = _everywhere()
    free = [
        place
        for place in with_room(everywhere, [animal], asof=clock.today())
        if stay is None or (place.tank, place.side) != (stay.tank, stay.side)
    ]
    if stay is None and len(free) == 1:
        form.initial["tank"] = free[0].key  # there is nowhere else
    context = {
        "form": form,
        "animal": animal,
        "stay": stay,
        "places": free,
        "asks_old_news": form.has_error("on", OLD_NEWS) or form["old_news"].value(),
    }
    return render(request, "housing/move.html", context)


def _everywhere() -> list[Place]:
    """Every place, and where the water is not fit for anybody."""
    today = clock.today()
    return queries.with_water(queries.places(queries.tanks_now(today)), asof=today)


def _chosen(request: PageRequest) -> list[Place]:
    """Of the tank that was chosen: an act looks into no other."""
    chosen = request.POST.get("tank", "").partition(":")[0]
    if not (chosen.isascii() and chosen.isdecimal()):
        return []
    return queries.places(queries.tanks_with_animals().filter(pk=int(chosen)))


def _move(request: PageRequest, animal: Animal, form: MoveForm) -> str:
    """The move in words. Raises ValidationError for a day that is old news and not said to be."""
    facts = form.cleaned_data
    tank, side = facts["tank"]
    asked = "" if facts["old_news"] else queries.old_news_words(animal, facts["on"])
    if asked:
        raise ValidationError({"on": ValidationError(asked, code=OLD_NEWS)})
    on, by = facts["on"], request.user
    stay = services.move_animal(animal, tank, side=side, on=on, by=by, **_answers(request))
    done = [offer.carry_out(on, by) for offer in form.offers if facts[offer.key]]
    return sentences(_moved_words(animal, stay), *done, following.said_of([stay]))


def _answers(request: PageRequest) -> dict[str, Any]:
    """What is answered to the questions of what follows."""
    return {"sure": sure_in(request.POST), "reason": reason_in(request.POST)}


def _moved_words(animal: Animal, stay: Stay | None) -> str:
    if stay is None:
        return tell("{animal} is in no tank now.", animal=animal.name)
    if stay.until is None:
        return tell("{animal} is in {place} now.", animal=animal.name, place=stay.place)
    return tell(
        "Written: {animal} was in {place} from {day} to {until}.",
        animal=animal.name,
        place=stay.place,
        day=long_day(stay.since),
        until=long_day(stay.until),
    )


@keepers_only
def move_all(request: PageRequest, pk: int) -> HttpResponse:
    """Move everybody of a tank to another one."""
    tank = get_object_or_404(Tank, pk=pk)
    moving = services.stays_on(tank, clock.today())
    offers = following.offers_for([stay.animal for stay in moving])
    chosen = [place for place in _chosen(request) if place.tank != tank]
    form = MoveForm(request.POST or None, places=chosen, today=clock.today(), offers=offers)
    if moved := written(request, form, lambda: _move_all(request, tank, form), {"side": "tank"}):
        to, said = moved
        if to is None:
            where = tell("Everybody of {tank} is in no tank now.", tank=tank)
        else:
            where = tell("Everybody of {tank} is in {place} now.", tank=tank, place=to)
        say(request, where, said)
        return redirect(to or tank)
    everywhere = _everywhere()
    others = [place for place in everywhere if place.tank != tank]
    context = {
        "form": form,
        "tank": tank,
        "moving": moving,
        "places": with_room(others, [stay.animal for stay in moving], asof=clock.today()),
    }
    return render(request, "housing/move_all.html", context)


def _move_all(request: PageRequest, tank: Tank, form: MoveForm) -> tuple[Tank | None, str]:
    """Where they are now, what was ended with it, and what was said of whom they met there."""
    facts = form.cleaned_data
    to, side = facts["tank"]
    on, by = facts["on"], request.user
    placed = services.move_everybody(tank, to, side=side, on=on, by=by, **_answers(request))
    done = [offer.carry_out(on, by) for offer in form.offers if facts[offer.key]]
    return to, sentences(*done, following.said_of(placed))
