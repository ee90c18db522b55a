"""The nursery for an expected birth."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from breeding.animals.models import Animal
from breeding.housing.models import Tank
from breeding.pairings.care import services as nursery_services
from breeding.pairings.care.nursery import Nursery, doubts_of_nursery, nursery_of
from breeding.pairings.care.places import TankReading, best_few, tank_readings
from breeding.pairings.forms import (
    NurseryForm,
)
from breeding.pairings.season.reading import season_of
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import written
from breeding.program.problems.doubts import answers_in
from breeding.program.services import withdraw as withdraw_record
from breeding.words.language import later, tell

TAKEN_BACK_SHOWN = 20


def nursery(request: PageRequest, pk: int) -> HttpResponse:
    """The nursery for an expected birth: its tank, and everything to see to before."""
    animal = get_object_or_404(Animal, pk=pk, sex=Animal.Sex.FEMALE)
    today = clock.today()
    season = season_of(animal, request.program, asof=today)
    found = nursery_of(season, request.program)
    form = NurseryForm(request.POST if request.method == "POST" else None, female=animal)
    if said := written(request, form, lambda: _tick_nursery(request, found, form)):
        say(request, said)
        return redirect("pairings:nursery", animal.pk)
    tanks: dict[int, TankReading] = {}  # of a divided one the best side, or the one chosen
    for one in tank_readings(
        Tank.objects.all(), today, program=request.program, besides=[animal], is_to_be_put=True
    ):
        tanks.setdefault(one.tank.pk, one)
    if found.tank is not None:
        tanks[found.tank.tank.pk] = found.tank
    context = {
        "asked_of": form.cleaned_data.get("tank") if form.is_bound and form.errors else None,
        "animal": animal,
        "season": season,
        "nursery": found,
        "form": form,
        "withdrawn": animal.nursery_ticks.filter(withdrawn_at__isnull=False)
        .select_related("withdrawn_by", "outcome", "tank")
        .order_by("-withdrawn_at")[:TAKEN_BACK_SHOWN],
        "any_tank": bool(tanks),
        "every": "every" in request.GET,
        "tanks": best_few(list(tanks.values()), found.tank.key if found.tank else ""),
    }
    return render(request, "pairings/nursery.html", context)


def _tick_nursery(request: PageRequest, found: Nursery, form: NurseryForm) -> str:
    """What was tapped, done; the words say it."""
    facts, now, today, female = form.cleaned_data, clock.now(), clock.today(), found.season.female
    if facts["untick"]:
        withdraw_record(
            facts["untick"], by=request.user, now=now, reason=nursery_services.TAKEN_BACK
        )
        return tell("Taken back: {item}.", item=facts["untick"].get_item_display())
    if facts["tank"]:
        tank, answers = facts["tank"], answers_in(request.POST)
        answers.ask(doubts_of_nursery(female, tank, on=today, program=request.program))
        nursery_services.choose_nursery(female, tank, on=today, by=request.user, now=now)
        return tell(
            "{tank} is the nursery for {female}'s pups. {said}",
            tank=tank,
            female=female.name,
            said=answers.said,
        ).strip()
    tank = found.tank.tank if found.tank else None
    tick = nursery_services.tick_nursery(
        female, facts["tick"], tank=tank, on=today, by=request.user, now=now
    )
    return tell("Ticked: {what}.", what=later(tick.get_item_display))
