"""Pages of hand-overs: an animal leaves with somebody, and comes back."""

from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from breeding.animals.models import Animal
from breeding.animals.species.kinds import words_of_animals
from breeding.animals.species.listings import law_words
from breeding.animals.typed.fields import EARLIEST_YEAR
from breeding.buyers import hand_overs, queries, services
from breeding.buyers.asked_with import write_with
from breeding.buyers.forms import ComeBackForm, HandOverForm
from breeding.buyers.models import HandOver
from breeding.feeding.said import feeding_words
from breeding.health.illness.said import treatments_said
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import written
from breeding.program.problems.doubts import reason_in, sure_in
from breeding.program.reference.cautions import cautions
from breeding.words.language import tell


@keepers_only
def hand_over(request: PageRequest, animal_pk: int) -> HttpResponse:
    """The animal goes to somebody, after the cautions have been read."""
    animal = get_object_or_404(Animal, pk=animal_pk)
    kept = services.reservation_of(animal)
    initial = {
        "contact": kept.contact_id if kept else request.GET.get("contact"),
        "on": clock.today(),
        "currency": queries.usual_currency(),
    }
    form = HandOverForm(request.POST or None, initial=initial, animal=animal)

    @transaction.atomic
    def act() -> HandOver:
        facts, further = form.parted()
        done = hand_overs.hand_over(
            animal,
            by=request.user,
            program=request.program,
            today=clock.today(),
            sure=sure_in(request.POST),
            reason=reason_in(request.POST),
            **facts,
        )
        write_with(animal, done.contact, further, by=request.user, now=clock.now())
        return done

    if gone := written(request, form, act):
        say(request, tell("{animal} went to {contact}.", animal=animal.name, contact=gone.contact))
        return redirect(gone.contact)
    if form.is_bound:
        animal.refresh_from_db()
    # A day or hours that were refused are not reckoned with.
    facts = form.cleaned_data if form.is_bound else {}
    hours, on = facts.get("hours_expected"), facts.get("on") or clock.today()
    on = on if on.year >= EARLIEST_YEAR else clock.today()
    known = cautions(words_of_animals([animal.pk]))
    context = {
        "form": form,
        "animal": animal,
        "kept": kept,
        "feeding": feeding_words([animal.pk], on).get(animal.pk, tell("not recorded")),
        "cautions": hand_overs.cautions_before(animal, request.program, on=on, hours=hours),
        "treatments": treatments_said([animal.pk], on)[animal.pk],
        "law_heading": known["law"].heading,
        "law_words": law_words(),
        "before_it_goes": [known[key] for key in ("shipping", "oxygen", "medicines")],
    }
    return render(request, "buyers/hand_over.html", context)


@keepers_only
def come_back(request: PageRequest, pk: int) -> HttpResponse:
    """The animal came back: it is here again, and why stays readable."""
    gone = get_object_or_404(HandOver.objects.select_related("animal", "contact"), pk=pk)
    form = ComeBackForm(request.POST or None, initial={"on": clock.today()})
    if back := written(
        request,
        form,
        lambda: hand_overs.take_back(
            gone,
            today=clock.today(),
            by=request.user,
            sure=sure_in(request.POST),
            reason=reason_in(request.POST),
            **form.cleaned_data,
        ),
    ):
        say(
            request,
            tell(
                "{animal} is here again. {where}",
                animal=gone.animal.name,
                where=back.follows or tell("It is in no tank yet."),
            ),
        )
        return redirect(gone.animal)
    return render(request, "buyers/come_back.html", {"form": form, "gone": gone})
