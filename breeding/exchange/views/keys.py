"""Keys: this program's own and what was said of it; fingerprints that others told; words heard."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from breeding.exchange.keys import own
from breeding.exchange.keys.forms import DisownForm, KnowKeyForm, LostForm, RenewForm
from breeding.exchange.keys.heard import know_key, sentences_of
from breeding.exchange.keys.reading import own_words
from breeding.exchange.models import HeldKeyWord, KnownKey
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only, owners_only
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import written
from breeding.sheets.sealing.seal import fingerprint
from breeding.sheets.standing import own_public_key
from breeding.words.language import tell

RENEW, DISOWN, LOST = "renew", "disown", "lost"


@require_safe
def keys(request: PageRequest) -> HttpResponse:
    """Every key that is known here, how, and what was said of it."""
    held = list(HeldKeyWord.every.all())
    heard = sentences_of([one.word for one in held])
    public = own_public_key()
    context = {
        "fingerprint": fingerprint(public) if public else "",
        "known": KnownKey.every.all(),
        "held": list(zip(held, heard, strict=True)),
    }
    return render(request, "exchange/keys.html", context)


@keepers_only
def know(request: PageRequest) -> HttpResponse:
    """Write down a fingerprint that somebody told in another way than by a file."""
    today = clock.today()
    first = {"on": today, "told": request.GET.get("told", "")[:60]}
    form = KnowKeyForm(request.POST or None, initial=first)
    if one := written(
        request, form, lambda: know_key(by=request.user, today=today, **form.cleaned_data)
    ):
        say(request, tell("The key of {called} is known from now on.", called=one.called))
        return redirect("exchange:keys")
    return render(request, "exchange/know.html", {"form": form})


@owners_only
def own_key(request: PageRequest) -> HttpResponse:
    """This program's key: renewed, given up as stolen, lost; each is asked once and signed."""
    today = clock.today()
    sent = request.POST.get("what", "")
    data = {one: request.POST if sent == one else None for one in (RENEW, DISOWN, LOST)}
    renew = RenewForm(data[RENEW], prefix=None)
    earlier, lost = own.earlier_keys(), own.lost_keys()
    disown = DisownForm(data[DISOWN], keys=own.fingerprints_of(earlier), prefix=DISOWN)
    gone = LostForm(data[LOST], keys=own.fingerprints_of(lost), prefix=LOST)
    if written(
        request,
        renew,
        lambda: own.renew_key(by=request.user, on=today, stolen_since=renew.stolen_since),
    ):
        say(request, tell("Another key signs from now on. Tell its fingerprint to your buyers."))
        return redirect("exchange:own_key")
    if written(
        request,
        disown,
        lambda: own.disown_key(
            disown.cleaned_data["key"],
            by=request.user,
            on=today,
            since=disown.cleaned_data["since"],
        ),
    ):
        say(request, tell("It is signed. Hand the file out to everybody who has sheets of yours."))
        return redirect("exchange:own_key")
    if written(
        request,
        gone,
        lambda: own.say_lost(gone.cleaned_data["key"], by=request.user, on=today),
    ):
        say(request, tell("It is signed. Tell the new fingerprint to everybody yourself."))
        return redirect("exchange:own_key")
    public = own_public_key()
    said = sentences_of(own_words())
    context = {
        "fingerprint": fingerprint(public) if public else "",
        "renew": renew,
        "disown": disown if earlier else None,
        "gone": gone if lost else None,
        "said": said,
        "to_issue_anew": own.sheets_to_issue_anew() if said else [],
    }
    return render(request, "exchange/own_key.html", context)


@require_safe
def key_file(request: PageRequest) -> HttpResponse:
    """What this program has signed about its keys, as a file for everybody."""
    try:
        content = own.own_key_file()
    except ValidationError as problem:
        messages.error(request, problem.messages[0])
        return redirect("exchange:keys")
    answer = HttpResponse(content, content_type="application/json")
    answer["Content-Disposition"] = 'attachment; filename="keys.json"'
    return answer
