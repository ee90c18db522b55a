"""Pages of the pairings' room: pairing, separating, logging, and a female's season."""

import datetime
from collections.abc import Callable

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from breeding.animals.models import Animal
from breeding.animals.readings import pair_words
from breeding.housing.models import Tank
from breeding.pairings import nursery_services, readings, services
from breeding.pairings.company_views import company  # noqa: F401  (every route has its view here)
from breeding.pairings.drawings import draw_season, draw_sheet
from breeding.pairings.forms import (
    AsOfForm,
    NurseryForm,
    OutcomeForm,
    PairingForm,
    PlanForm,
    ScanForm,
    SeparateForm,
    SightingForm,
)
from breeding.pairings.learning_views import sign, signs  # noqa: F401
from breeding.pairings.models import Outcome, Pairing, Scan, Sighting, SignKind
from breeding.pairings.nursery import Nursery, nursery_of
from breeding.pairings.rest import rest_caution, rest_until
from breeding.pairings.seasons import season_of, seasons
from breeding.pairings.separation import (
    TankReading,
    best_few,
    day_typed,
    late_words,
    parted_with,
    scene_of,
    separation_of,
    tank_readings,
)
from breeding.pairings.severity import DEGREES
from breeding.pairings.thinning import weight_loss_words
from breeding.pairings.wounds import course_words, harm_of, wounds_among, wounds_of
from breeding.pairings.year_views import year  # noqa: F401
from breeding.program import clock
from breeding.program.decorators import keepers_only
from breeding.program.forms import WithdrawForm
from breeding.program.models import Withdrawable
from breeding.program.problems import add_problems, written
from breeding.program.requests import PageRequest
from breeding.program.services import withdraw as withdraw_record
from breeding.words.chances import chance

WOUNDS_SHOWN = 4


@require_safe
def index(request: PageRequest) -> HttpResponse:
    """Who is together now, and who was."""
    pairings = Pairing.objects.filter(withdrawn_at__isnull=True).select_related("female", "male")
    context = {
        "open": [one for one in pairings if one.is_open],
        "past": [one for one in pairings if not one.is_open][:200],
    }
    return render(request, "pairings/index.html", context)


@keepers_only
def new(request: PageRequest) -> HttpResponse:
    """Put two together: first the pair is looked at, then it is saved."""
    today = clock.today()
    chosen = {name: request.GET.get(name) for name in ("female", "male")}
    form = PairingForm(request.POST or None, today=today, initial=chosen)
    check = None
    rest = ""
    reason = request.POST.get("reason", "")[:400]
    if request.method == "POST" and form.is_valid():
        facts = form.cleaned_data
        try:
            check = readings.check_pair(facts["female"], facts["male"], request.program)
            rest = rest_caution(facts["female"], request.program, on=facts["introduced_on"])
            seen = request.POST.get("looked_at") == f"{facts['female'].pk}-{facts['male'].pk}"
            seen = seen and (not rest or request.POST.get("rest_seen") == rest)
            if seen and "save" in request.POST:
                pairing = services.open_pairing(
                    **facts, reason=reason, program=request.program, by=request.user, today=today
                )
                messages.success(request, f"{pairing} are together.")
                return redirect(pairing)
        except ValidationError as problem:
            add_problems(form, problem)
    context = {"form": form, "check": check, "reason": reason, "rest": rest}
    return render(request, "pairings/new.html", context)


@require_safe
def detail(request: PageRequest, pk: int) -> HttpResponse:
    """One pairing: the two, what their young would be, and her season."""
    pairing = get_object_or_404(Pairing.objects.select_related("female", "male"), pk=pk)
    season = season_of(pairing.female, request.program, asof=clock.today())
    context = {
        "pairing": pairing,
        "pair": pair_words(pairing.male, pairing.female),
        "season": season,
        "drawing": draw_season(season),
        "is_current": any(pairing in one.pairings for one in season.company),
        "separation": separation_of(pairing, request.program),
        "harm": harm_of(season) if pairing.is_open else None,
    }
    return render(request, "pairings/detail.html", context)


@keepers_only
def separate(request: PageRequest, pk: int) -> HttpResponse:
    """Take the two apart; moving the male or closing the divider is gentler on her."""
    pairing = get_object_or_404(Pairing.objects.select_related("female", "male"), pk=pk)
    today = clock.today()
    on = day_typed(request.POST.get("on", ""), today)
    scene = scene_of(pairing, on, request.program)
    known = {"on": today, "moved": Pairing.Moved.MALE}
    form = SeparateForm(request.POST or None, initial=known, scene=scene)
    late = late_words(season_of(pairing.female, request.program, asof=on), on)
    asks_again = (
        form.is_valid() and bool(late) and form.cleaned_data["moved"] == Pairing.Moved.FEMALE
    )
    if not asks_again or "late_seen" in request.POST:
        done = written(
            request,
            form,
            lambda: services.separate(pairing, today=today, by=request.user, **form.cleaned_data),
        )
        if done:
            apart = [str(one) for one in parted_with(pairing)]
            messages.success(request, " ".join(f"{one} are apart." for one in apart))
            return redirect("pairings:female", pairing.female_id)
    context = {
        "form": form,
        "pairing": pairing,
        "scene": scene,
        "places": best_few(scene.proposals, str(form["tank"].value())),
        "late": late,
        "asks_again": asks_again,
        "any_tank": bool(scene.home or scene.proposals),
    }
    return render(request, "pairings/separate.html", context)


@keepers_only
def plan(request: PageRequest, pk: int) -> HttpResponse:
    """Until when the two are meant to be together, by the keeper's own plan."""
    pairing = get_object_or_404(Pairing.objects.select_related("female", "male"), pk=pk)
    known = {"separation_planned_on": pairing.separation_planned_on}
    form = PlanForm(request.POST or None, initial=known)
    if written(
        request,
        form,
        lambda: services.plan_separation(pairing, on=form.cleaned_data["separation_planned_on"]),
    ):
        messages.success(request, f"The plan for {pairing} is saved.")
        return redirect(pairing)
    return render(request, "pairings/plan.html", {"form": form, "pairing": pairing})


@keepers_only
def withdraw(request: PageRequest, pk: int) -> HttpResponse:
    """Withdraw a pairing that was entered by mistake."""
    pairing = get_object_or_404(Pairing.objects.select_related("female", "male"), pk=pk)
    return _withdraw(request, pairing, f"pairing of {pairing}", pairing.female_id)


def _withdraw(
    request: PageRequest,
    record: Pairing | Sighting | Scan | Outcome,
    what: str,
    female_pk: int,
    *,
    act: Callable[..., Withdrawable] = withdraw_record,
) -> HttpResponse:
    form = WithdrawForm(request.POST or None)
    if written(
        request,
        form,
        lambda: act(record, by=request.user, now=clock.now(), reason=form.cleaned_data["reason"]),
    ):
        messages.success(request, f"The {what} is withdrawn and counts no more.")
        return redirect("pairings:female", female_pk)
    return render(request, "pairings/withdraw.html", {"form": form, "record": record, "what": what})


@keepers_only
def log(request: PageRequest) -> HttpResponse:
    """Log a sighting: which female, what was seen, done."""
    kinds = list(SignKind.objects.all())
    asked = {kind.key: kind.pk for kind in kinds}.get(request.GET.get("kind", ""))
    form = SightingForm(
        request.POST or None,
        request.FILES or None,
        initial={"female": request.GET.get("female"), "kind": asked},
    )
    if sighting := written(request, form, lambda: _log(request, form)):
        season = season_of(sighting.female, request.program, asof=clock.today())
        messages.success(
            request,
            f"Written: {sighting.female.name}, {sighting.kind.label.lower()}. Chance that she "
            f"is pregnant: {chance(season.estimate.chance)}.",
        )
        if harm_of(season) is not None:
            return redirect("pairings:female", sighting.female_id)
        return redirect("agenda:day")
    context = {
        "form": form,
        "females": readings.females_to_log(clock.today()),
        "kinds": kinds,
        "degrees": DEGREES,
        "limit": request.program.separate_at_severity,
    }
    return render(request, "pairings/log.html", context)


def _log(request: PageRequest, form: SightingForm) -> Sighting:
    facts, now = form.cleaned_data, clock.now()
    return services.log_sighting(
        **facts | {"seen_at": facts["seen_at"] or now}, now=now, by=request.user
    )


@require_safe
def season(request: PageRequest) -> HttpResponse:
    """Every open season on one sheet, with a common time axis."""
    readings_now = [one for one in seasons(request.program, asof=clock.today()) if one.is_live]
    context = {"seasons": readings_now, "sheet": draw_sheet(readings_now)}
    return render(request, "pairings/season.html", context)


@require_safe
def female(request: PageRequest, pk: int) -> HttpResponse:
    """A female's season: chance, window, reasons, what follows, and everything seen."""
    females = Animal.objects.filter(sex=Animal.Sex.FEMALE).select_related("portrait")
    animal = get_object_or_404(females, pk=pk)
    today = clock.today()
    asked = AsOfForm(request.GET if "asof" in request.GET else None, today=today)
    asof = asked.cleaned_data["asof"] if asked.is_bound and asked.is_valid() else today
    reading = season_of(animal, request.program, asof=asof)
    sightings = list(
        animal.sightings.select_related("kind", "male", "recorded_by", "photograph", "withdrawn_by")
    )
    pairings = list(animal.pairings_as_female.select_related("male", "moved_to"))
    latest = next((one for one in pairings if not one.is_withdrawn), None)
    context = {
        "animal": animal,
        "season": reading,
        "harm": None if asof != today else harm_of(reading),
        "wounds": wounds_among(sightings)[-WOUNDS_SHOWN:],
        "thinning": weight_loss_words(reading, request.program),
        "rest_until": rest_until(animal, request.program, asof=asof),
        "separation": separation_of(latest, request.program) if latest else None,
        "drawing": draw_season(reading),
        "asked": asked,
        "asof": asof,
        "is_past": asof != today,
        "sightings": sightings,
        "scans": animal.scans.select_related("recorded_by"),
        "pairings": pairings,
        "outcomes": animal.outcomes.filter(withdrawn_at__isnull=True).select_related("litter"),
    }
    return render(request, "pairings/female.html", context)


@require_safe
def wounds(request: PageRequest, pk: int) -> HttpResponse:
    """A female's bite marks over time, side by side, with dates and severity."""
    animal = get_object_or_404(Animal, pk=pk, sex=Animal.Sex.FEMALE)
    season = season_of(animal, request.program, asof=clock.today())
    looks = wounds_of(animal)
    context = {
        "animal": animal,
        "season": season,
        "harm": harm_of(season),
        "wounds": looks,
        "course": course_words(looks),
        "degrees": DEGREES,
        "limit": request.program.separate_at_severity,
    }
    return render(request, "pairings/wounds.html", context)


@keepers_only
def sighting(request: PageRequest, pk: int) -> HttpResponse:
    """Withdraw a sighting; it stays readable with the reason."""
    found = get_object_or_404(Sighting.objects.select_related("female", "kind"), pk=pk)
    return _withdraw(request, found, f"sighting of {found}", found.female_id)


@keepers_only
def scan_withdraw(request: PageRequest, pk: int) -> HttpResponse:
    """Withdraw a scan; it stays readable with the reason."""
    found = get_object_or_404(Scan.objects.select_related("female"), pk=pk)
    return _withdraw(request, found, f"scan of {found.female}", found.female_id)


def _about_female(
    request: PageRequest,
    pk: int,
    form_class: type[ScanForm] | type[OutcomeForm],
    page: str,
) -> HttpResponse:
    animal = get_object_or_404(Animal, pk=pk, sex=Animal.Sex.FEMALE)
    today: datetime.date = clock.today()
    form = form_class(request.POST or None, initial={"on": today})
    act = services.record_scan if form_class is ScanForm else services.record_outcome
    if written(
        request,
        form,
        lambda: act(female=animal, today=today, by=request.user, **form.cleaned_data),
    ):
        messages.success(request, f"Written down for {animal.name}.")
        return redirect("pairings:female", animal.pk)
    return render(request, page, {"form": form, "animal": animal})


@keepers_only
def outcome_withdraw(request: PageRequest, pk: int) -> HttpResponse:
    """Withdraw how a season ended; it is open again."""
    found = get_object_or_404(Outcome.objects.select_related("female", "litter"), pk=pk)
    what = f"record “{found.get_kind_display()}” of {found.female}"
    return _withdraw(request, found, what, found.female_id, act=services.withdraw_outcome)


def nursery(request: PageRequest, pk: int) -> HttpResponse:
    """The nursery for an expected birth: its tank, and everything to see to before."""
    animal = get_object_or_404(Animal, pk=pk, sex=Animal.Sex.FEMALE)
    today = clock.today()
    season = season_of(animal, request.program, asof=today)
    found = nursery_of(season, request.program)
    form = NurseryForm(request.POST if request.method == "POST" else None, female=animal)
    if said := written(request, form, lambda: _tick_nursery(request, found, form)):
        messages.success(request, said)
        return redirect("pairings:nursery", animal.pk)
    tanks: dict[int, TankReading] = {}  # of a divided one the best side, or the one chosen
    for one in tank_readings(Tank.objects.all(), today, program=request.program, besides=[animal]):
        tanks.setdefault(one.tank.pk, one)
    if found.tank is not None:
        tanks[found.tank.tank.pk] = found.tank
    context = {
        "animal": animal,
        "season": season,
        "nursery": found,
        "form": form,
        "tanks": best_few(list(tanks.values()), found.tank.key if found.tank else ""),
    }
    return render(request, "pairings/nursery.html", context)


def _tick_nursery(request: PageRequest, found: Nursery, form: NurseryForm) -> str:
    """What was tapped, done; the words say it."""
    facts, now, today, female = form.cleaned_data, clock.now(), clock.today(), found.season.female
    if facts["untick"]:
        withdraw_record(facts["untick"], by=request.user, now=now, reason="taken back on the list")
        return f"Taken back: {facts['untick'].get_item_display()}."
    if facts["tank"]:
        nursery_services.choose_nursery(female, facts["tank"], on=today, by=request.user, now=now)
        return f"{facts['tank']} is the nursery for {female.name}'s pups."
    tank = found.tank.tank if found.tank else None
    tick = nursery_services.tick_nursery(
        female, facts["tick"], tank=tank, on=today, by=request.user, now=now
    )
    return f"Ticked: {tick.get_item_display()}."


@keepers_only
def scan(request: PageRequest, pk: int) -> HttpResponse:
    """Write down a scan."""
    return _about_female(request, pk, ScanForm, "pairings/scan.html")


@keepers_only
def outcome(request: PageRequest, pk: int) -> HttpResponse:
    """Close a season that ended without a birth to record."""
    return _about_female(request, pk, OutcomeForm, "pairings/outcome.html")
