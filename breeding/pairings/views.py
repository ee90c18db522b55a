"""Pages of the pairings' room: pairing, separating, logging, and a female's season."""

import datetime

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from breeding.animals.models import Animal
from breeding.animals.readings import pair_words
from breeding.pairings import readings, services
from breeding.pairings.drawings import draw_season, draw_sheet
from breeding.pairings.forms import (
    AsOfForm,
    OutcomeForm,
    PairingForm,
    ScanForm,
    SeparateForm,
    SightingForm,
)
from breeding.pairings.models import Pairing, Scan, Sighting, SignKind
from breeding.pairings.seasons import season_of, seasons
from breeding.pairings.severity import DEGREES
from breeding.pairings.wounds import course_words, harm_of, wounds_among, wounds_of
from breeding.program import clock
from breeding.program.decorators import keepers_only
from breeding.program.formats import chance
from breeding.program.forms import WithdrawForm
from breeding.program.problems import add_problems
from breeding.program.requests import PageRequest
from breeding.program.services import withdraw as withdraw_record

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
    reason = request.POST.get("reason", "")[:400]
    if request.method == "POST" and form.is_valid():
        facts = form.cleaned_data
        try:
            check = readings.check_pair(facts["female"], facts["male"], request.program)
            seen = request.POST.get("looked_at") == f"{facts['female'].pk}-{facts['male'].pk}"
            if seen and "save" in request.POST:
                pairing = services.open_pairing(
                    **facts, reason=reason, program=request.program, by=request.user, today=today
                )
                messages.success(request, f"{pairing} are together.")
                return redirect(pairing)
        except ValidationError as problem:
            add_problems(form, problem)
    context = {"form": form, "check": check, "reason": reason}
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
    }
    return render(request, "pairings/detail.html", context)


@keepers_only
def separate(request: PageRequest, pk: int) -> HttpResponse:
    """Take the two apart; moving the male or closing the divider is gentler on her."""
    pairing = get_object_or_404(Pairing.objects.select_related("female", "male"), pk=pk)
    today = clock.today()
    form = SeparateForm(request.POST or None, initial={"on": today})
    if request.method == "POST" and form.is_valid():
        try:
            services.separate(pairing, today=today, **form.cleaned_data)
        except ValidationError as problem:
            add_problems(form, problem)
        else:
            messages.success(request, f"{pairing} are apart.")
            return redirect("pairings:female", pairing.female_id)
    return render(request, "pairings/separate.html", {"form": form, "pairing": pairing})


@keepers_only
def withdraw(request: PageRequest, pk: int) -> HttpResponse:
    """Withdraw a pairing that was entered by mistake."""
    pairing = get_object_or_404(Pairing.objects.select_related("female", "male"), pk=pk)
    return _withdraw(request, pairing, f"pairing of {pairing}", pairing.female_id)


def _withdraw(
    request: PageRequest, record: Pairing | Sighting | Scan, what: str, female_pk: int
) -> HttpResponse:
    form = WithdrawForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            withdraw_record(
                record, by=request.user, now=clock.now(), reason=form.cleaned_data["reason"]
            )
        except ValidationError as problem:
            add_problems(form, problem)
        else:
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
    if request.method == "POST" and form.is_valid():
        facts = form.cleaned_data
        now = clock.now()
        try:
            sighting = services.log_sighting(
                **facts | {"seen_at": facts["seen_at"] or now}, now=now, by=request.user
            )
        except ValidationError as problem:
            add_problems(form, problem)
        else:
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
    context = {
        "animal": animal,
        "season": reading,
        "harm": None if asof != today else harm_of(reading),
        "wounds": wounds_among(sightings)[-WOUNDS_SHOWN:],
        "drawing": draw_season(reading),
        "asked": asked,
        "asof": asof,
        "is_past": asof != today,
        "sightings": sightings,
        "scans": animal.scans.select_related("recorded_by"),
        "pairings": animal.pairings_as_female.select_related("male"),
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
    if request.method == "POST" and form.is_valid():
        act = services.record_scan if form_class is ScanForm else services.record_outcome
        try:
            act(female=animal, today=today, by=request.user, **form.cleaned_data)
        except ValidationError as problem:
            add_problems(form, problem)
        else:
            messages.success(request, f"Written down for {animal.name}.")
            return redirect("pairings:female", animal.pk)
    return render(request, page, {"form": form, "animal": animal})


@keepers_only
def scan(request: PageRequest, pk: int) -> HttpResponse:
    """Write down a scan."""
    return _about_female(request, pk, ScanForm, "pairings/scan.html")


@keepers_only
def outcome(request: PageRequest, pk: int) -> HttpResponse:
    """Close a season that ended without a birth to record."""
    return _about_female(request, pk, OutcomeForm, "pairings/outcome.html")
