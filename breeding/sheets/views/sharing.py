"""The page on sharing and signing."""

from django.http import HttpResponse
from django.shortcuts import redirect, render

from breeding.program.acts.once import say
from breeding.program.frame.decorators import owners_only
from breeding.program.frame.requests import PageRequest
from breeding.program.panels import panels_for
from breeding.program.problems.beside import written
from breeding.sheets import standing
from breeding.sheets.forms import SharingForm
from breeding.sheets.models import Sharing
from breeding.sheets.shared import links
from breeding.words.language import tell


@owners_only
def sharing(request: PageRequest) -> HttpResponse:
    """Under which address links are handed out, and the key that sheets are signed with."""
    known = Sharing.objects.filter(pk=1).first()
    form = SharingForm(
        request.POST or None, initial={"public_address": known and known.public_address}
    )
    if written(
        request, form, lambda: links.set_public_address(form.cleaned_data["public_address"])
    ):
        say(request, tell("The address is saved."))
        return redirect("sheets:sharing")
    base = links.base_of(request.build_absolute_uri("/"))
    context = {
        "form": form,
        "base": base,
        "is_only_local": links.is_only_local(base),
        "fingerprint": standing.own_fingerprint(),
        "public_key": standing.own_public_key(),
        "panels": panels_for("sheets:sharing", request),
    }
    return render(request, "sheets/sharing.html", context)
