"""A picture held against the spots that a signed file carries."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_http_methods

from breeding.exchange.files import read_given
from breeding.exchange.forms import ProveForm
from breeding.exchange.keys.reading import said_of_word
from breeding.exchange.proving import proofs_of
from breeding.identity.models import PatternReading
from breeding.program.frame.decorators import open_to_viewers
from breeding.program.frame.requests import PageRequest
from breeding.sheets.sealing.seal import fingerprint


@open_to_viewers
@require_http_methods(["GET", "HEAD", "POST"])
def prove(request: PageRequest, pk: int) -> HttpResponse:
    """Is this the animal of the sheet? The file is read and nothing of it is kept."""
    rows = PatternReading.objects.select_related("photograph__animal", "untold")
    pattern = get_object_or_404(rows, pk=pk)
    form = ProveForm(request.POST or None, request.FILES or None)
    context = {"form": form, "pattern": pattern, "subject": pattern.subject}
    if form.is_bound and form.is_valid():
        try:
            word = read_given(form.cleaned_data["file"])
        except ValueError as problem:
            form.add_error("file", str(problem))
        else:
            context |= {
                "word": word,
                "said": said_of_word(word),
                "fingerprint": fingerprint(word.key),
                "proofs": proofs_of(word, pattern, pattern.subject.taken_on),
            }
    return render(request, "exchange/prove.html", context)
