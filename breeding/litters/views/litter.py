"""Pages of litters: all of them, one, a birth, and after it."""

from django.contrib import messages
from django.forms import BaseFormSet
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from breeding.animals.models import Animal, PossibleSire
from breeding.animals.parents.parentage import Parents
from breeding.feeding.queries import appetites
from breeding.litters import queries, services
from breeding.litters.births.family import family_of, with_parents
from breeding.litters.births.found import any_found
from breeding.litters.births.joining import surely_young_of
from breeding.litters.contradictions import contradiction_of
from breeding.litters.forms import (
    POSSIBLE_SIRES,
    BirthForm,
    PupForm,
    RestForm,
    gather_pups,
    pup_formset,
    written_sires,
)
from breeding.litters.models import Litter
from breeding.litters.raising.first_food import first_food_of
from breeding.litters.tables import ALL_LITTERS
from breeding.pairings.care import services as nursery_services
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.lists.page import list_page
from breeding.program.offline.readable import readable_offline
from breeding.program.panels import panels_for
from breeding.program.problems.beside import pressed, written
from breeding.program.problems.doubts import sure_in
from breeding.words.days import long_day
from breeding.words.language import tell, tell_many

PLACES = {"on": "born_on", "possible_sires": "possible_sire_1"}


@require_safe
def index(request: PageRequest) -> HttpResponse:
    """Every litter, the latest first, with its pups."""
    return list_page(request, "litters/index.html", ALL_LITTERS, may_be_found=any_found())


@readable_offline
@require_safe
def detail(request: PageRequest, pk: int) -> HttpResponse:
    """One litter: who, when, how long it took, and each pup."""
    litter = get_object_or_404(Litter.objects.select_related("dam", "outcome"), pk=pk)
    pups, withdrawn_pups = queries.every_pup_of(litter, asof=clock.today())
    went_along = [one for one in withdrawn_pups if one.withdrawn_at == litter.withdrawn_at]
    on_record = (
        went_along if litter.is_withdrawn else with_parents([one.pup for one in pups], litter)
    )
    family = family_of(litter, on_record)
    is_of_company = not litter.is_withdrawn and not any(pup.animal for pup in on_record)
    if is_of_company:  # those born dead keep no sire
        family = queries.likely_parents_of(litter, request.program)
    context = {
        "litter": litter,
        "pups": pups,
        "gestation": queries.measured_gestation(litter, request.program),
        "care": queries.care_after(
            litter,
            request.program,
            asof=clock.today(),
            animals=[one.pup.animal for one in pups if one.pup.animal],
        ),
        "sire": family.sire,
        "is_of_company": is_of_company,
        "possible_sires": [
            PossibleSire(sire=male, share=share) for male, share in family.possible_sires
        ],
        "withdrawn_pups": withdrawn_pups,
        "contradictions": [found for one in pups if (found := contradiction_of(one.pup))],
        "may_be_young": list(surely_young_of(litter.dam, litter.born_on)),
        **_food_of(pups),
        "panels": panels_for("litters:detail", request, litter),
    }
    return render(request, "litters/detail.html", context)


def _food_of(pups: list[queries.PupReading]) -> dict[str, object]:
    """When the pups first took food, who of them has not, and whom a tap feeds."""
    animals = [one.pup.animal for one in pups if one.pup.animal is not None]
    eating = appetites([one.pk for one in animals], clock.today())
    first = {key: one.ate_first_on for key, one in eating.items() if one.ate_first_on}
    here = [one for one in animals if one.is_here]
    return {
        "first_food": min(first.values(), default=None),
        "not_fed_yet": [one for one in here if one.pk not in first] if first else [],
        "anybody_here": bool(here),
    }


@keepers_only
def new(request: PageRequest) -> HttpResponse:
    """Record a birth."""
    today = clock.today()
    form = BirthForm(request.POST or None, today=today, initial=_known_so_far(request))
    pups = pup_formset(request.POST or None, request.program)
    if request.method == "POST" and form.is_valid() and pups.is_valid():
        if offered := _to_look_at_again(request, form):
            return render(request, "litters/new.html", {"form": offered, "pups": pups})
        if litter := written(request, form, lambda: _record(request, form, pups), PLACES):
            say(
                request,
                tell(
                    "Litter {code} of {dam} is recorded. Keep males away from the pups. {company}",
                    code=litter.code,
                    dam=litter.dam.name,
                    company=queries.company_words(litter, request.program, asof=today),
                ).strip(),
            )
            return redirect("litters:after", litter.pk)
    return render(request, "litters/new.html", {"form": form, "pups": pups})


def _record(request: PageRequest, form: BirthForm, pups: "BaseFormSet[PupForm]") -> Litter:
    facts = form.cleaned_data
    return services.record_birth(
        dam=facts["dam"],
        born_on=facts["born_on"],
        pups=gather_pups(pups, form),
        parents=facts["parents"],
        young=facts["young"],
        keep_their_sires=facts["keep_their_sires"],
        premature=facts["premature"],
        note=facts["note"],
        today=clock.today(),
        by=request.user,
        sure=sure_in(request.POST),
    )


def _known_so_far(request: PageRequest) -> dict[str, object]:
    """Dam from the address; the sire as far as company and signs say."""
    known: dict[str, object] = {"born_on": clock.today()}
    asked = request.GET.get("dam", "")
    dam = None
    if asked.isascii() and asked.isdigit() and len(asked) < 16:
        dam = Animal.objects.filter(pk=int(asked), sex=Animal.Sex.FEMALE).first()
    if dam is None:
        return known
    parents = queries.likely_parents(dam, request.program, asof=clock.today())
    known |= {"dam": dam, "young_for": f"{dam.pk} {clock.today()}"}
    return known | written_sires(dam, clock.today(), parents)


def _to_look_at_again(request: PageRequest, form: BirthForm) -> BirthForm | None:
    """The form with what is reckoned or on record for that dam and day; None: nothing is new."""
    with_sires = _sires_of_that_day(request, form)
    return _young_of_that_day(request, form, with_sires or form) or with_sires


def _young_of_that_day(request: PageRequest, sent: BirthForm, form: BirthForm) -> BirthForm | None:
    """With the young on record that nobody would want to make a second time, offered once."""
    dam, born_on = (sent.cleaned_data[name] for name in ("dam", "born_on"))
    if sent.young_asked_for == (dam, born_on):
        return None
    surely = list(surely_young_of(dam, born_on))
    if not surely:
        return None
    said = tell_many(
        "{number} animal of {dam} is on record as born then. Say below who is of this birth, so "
        "that nobody is written down twice, and save again.",
        "{number} animals of {dam} are on record as born then. Say below who is of this birth, so "
        "that nobody is written down twice, and save again.",
        len(surely),
        dam=dam.name,
    )
    messages.info(request, said)
    return form.with_young(dam, born_on)


def _sires_of_that_day(request: PageRequest, form: BirthForm) -> BirthForm | None:
    """For another dam or day than the sires were reckoned for: the form, with hers of that day.

    Also for a page that was opened for no dam: its sires were reckoned for nobody. None when
    there is nothing new to offer, or the keeper said who the sire is.
    """
    dam, born_on, typed = (form.cleaned_data[name] for name in ("dam", "born_on", "parents"))
    asked = form.sires_asked_for
    if asked == (dam, born_on) or born_on > clock.today() or "sires_for" not in form.data:
        return None
    before = Parents(None, dam)
    if asked is not None:
        before = queries.likely_parents(asked[0], request.program, asof=asked[1])
    likely = queries.likely_parents(dam, request.program, asof=born_on)
    if not _same_sires(typed, before) or _same_sires(typed, likely):
        return None
    messages.info(
        request,
        tell(
            "The sires below now follow from a birth on {day}. Look at them and save again.",
            day=long_day(born_on),
        ),
    )
    return form.with_sires(dam, born_on, likely)


def _same_sires(one: Parents, other: Parents) -> bool:
    cut = [
        (parents.sire, dict(parents.possible_sires[:POSSIBLE_SIRES])) for parents in (one, other)
    ]
    return cut[0] == cut[1]


def after(request: PageRequest, pk: int) -> HttpResponse:
    """After a birth: pups and males apart, and how long the dam rests."""
    litter = get_object_or_404(Litter.objects.select_related("dam", "outcome"), pk=pk)
    if litter.is_withdrawn and request.method != "POST":
        return redirect(litter)
    today = clock.today()
    if request.POST.get("apart") == "1":
        _tick_apart(request, litter)
        return redirect("litters:after", litter.pk)
    care = queries.care_after(litter, request.program, asof=today)
    sent = request.POST if request.method == "POST" else None
    form = RestForm(sent, initial={"until": care.rests_until or litter.born_on})
    if written(
        request,
        form,
        lambda: nursery_services.rest_after(litter.outcome, by=request.user, **form.cleaned_data),
    ):
        say(request, tell("The rest of {dam} is written down.", dam=litter.dam.name))
        return redirect("litters:after", litter.pk)
    first_food = first_food_of(litter.dam)
    context = {"litter": litter, "care": care, "form": form, "first_food": first_food}
    return render(request, "litters/after.html", context)


def _tick_apart(request: PageRequest, litter: Litter) -> None:
    """There is no form beside this button: what speaks against it is said on top."""
    if pressed(
        request,
        lambda: nursery_services.tick_apart(litter.outcome, on=clock.today(), by=request.user),
    ):
        say(request, tell("Pups and males are apart."))
