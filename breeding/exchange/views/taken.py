"""Ancestry taken from others: looked over, taken, read, and withdrawn by the common page."""

import base64
import datetime

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from breeding.exchange.ancestry import Word
from breeding.exchange.ancestry.rows import A_DAY
from breeding.exchange.codes.packed import gathered, read_part
from breeding.exchange.files import own_public, read_given
from breeding.exchange.forms import TakeForm, TakeKeysForm, WhoIsForm
from breeding.exchange.keys.heard import hear, sentences_of
from breeding.exchange.keys.reading import said_of_word
from breeding.exchange.models import HeldKeyWord, TakenAncestry
from breeding.exchange.taking import planned
from breeding.exchange.taking import take as take_word
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import written
from breeding.sheets.sealing.seal import fingerprint
from breeding.words.days import plain_day
from breeding.words.language import tell_many

CODES = "codes_taken"  # in the session
LATEST = 50
MOST_SHOWN = 200


@require_safe
def index(request: PageRequest) -> HttpResponse:
    """What was taken from whom, and this program's own fingerprint."""
    taken = TakenAncestry.every.defer("file_base64")[:LATEST]
    own = fingerprint(own_public()) if own_public() else ""
    return render(request, "exchange/index.html", {"taken": taken, "fingerprint": own})


@keepers_only
def take(request: PageRequest) -> HttpResponse:
    """A file is looked over: who is known, who is new, what differs; then taken.

    Parts of codes that came are kept until all have, for whoever is signed in.
    """
    before = [part for one in request.session.get(CODES, ()) if (part := read_part(one))]
    if "anew" in request.POST:
        request.session.pop(CODES, None)
        return redirect("exchange:take")
    form = TakeForm(request.POST or None, request.FILES or None, before=before)
    if not (form.is_bound and form.is_valid()):
        waiting = gathered(before)
        return render(request, "exchange/take.html", {"form": form, "waiting": waiting})
    if form.waiting is not None:
        request.session[CODES] = form.waiting.texts
        return redirect("exchange:take")
    if form.cleaned_data["pictures"]:
        request.session.pop(CODES, None)
    if form.word is None:
        return _take_keys(request, form)
    word, public = form.word, own_public()
    first = planned(word, public)
    unknown = [claim.identity for claim in first.new]
    sent = request.POST if "take" in request.POST else None
    who = WhoIsForm(sent, word=word, unknown=unknown, updates=first.updates)
    if kept := written(
        request,
        who,
        lambda: take_word(
            word,
            form.raw,
            public,
            by=request.user,
            told=who.told(),
            updates=who.cleaned_data.get("updates", ()),
        ),
    ):
        say(request, _said(kept))
        return redirect(kept)
    told = who.told() if who.is_bound and who.is_valid() else {}
    plan = planned(word, public, told) if told else first
    context = {
        "form": who,
        "word": word,
        "plan": plan,
        "new": plan.new[:MOST_SHOWN],
        "more": max(len(plan.new) - MOST_SHOWN, 0),
        "content": base64.b64encode(form.raw).decode(),
        "issued": _day_words(word.issued_on),
        "fingerprint": fingerprint(word.key),
        "said": said_of_word(word),
        "heard": sentences_of(word.keys),
        "known": sorted(set(plan.known.values()), key=lambda one: one.name)[:MOST_SHOWN],
    }
    return render(request, "exchange/look_over.html", context)


def _take_keys(request: PageRequest, form: TakeForm) -> HttpResponse:
    """A file that speaks of keys alone: what it says, then kept."""
    sent = TakeKeysForm(request.POST if "take" in request.POST else None)
    heard: list[HeldKeyWord] | None = None
    if sent.is_bound:
        heard = written(request, sent, lambda: hear(form.keys, by=request.user))
    if heard is not None:
        say(
            request,
            tell_many(
                "{number} word about keys is new.", "{number} words about keys are new.", len(heard)
            ),
        )
        return redirect("exchange:keys")
    context = {
        "form": sent,
        "heard": sentences_of(form.keys),
        "content": base64.b64encode(form.raw).decode(),
    }
    return render(request, "exchange/look_over_keys.html", context)


def _day_words(on: str) -> str:
    """The day as pages say it; a year or a month as the file does."""
    return plain_day(datetime.date.fromisoformat(on)) if len(on) == A_DAY else on


def _said(kept: TakenAncestry) -> str:
    number = kept.names.filter(is_new=True).values("animal").distinct().count()
    return tell_many(
        "The ancestry is taken: {number} animal is new.",
        "The ancestry is taken: {number} animals are new.",
        number,
    )


@require_safe
def taken(request: PageRequest, pk: int) -> HttpResponse:
    """What came with one file, from whose word, and what differs from it today."""
    kept = get_object_or_404(TakenAncestry.every, pk=pk)
    word: Word = read_given(kept.content)
    plan = planned(word, own_public())
    names = kept.names.select_related("animal").order_by("animal__code")
    context = {
        "taken": kept,
        "names": names[:MOST_SHOWN],
        "differences": plan.differences,
        "fingerprint": fingerprint(kept.key),
        "said": said_of_word(word),
        "updates": kept.updates.select_related("animal", "measurement"),
    }
    return render(request, "exchange/taken.html", context)
