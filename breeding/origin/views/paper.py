"""Papers of origin: written down and shown."""

from django.http import FileResponse, Http404, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from breeding.animals.models import Animal
from breeding.origin.forms import OriginPaperForm
from breeding.origin.models import OriginPaper
from breeding.origin.papers import ENDINGS, add_origin_paper
from breeding.program import clock
from breeding.program.acts.once import say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import written
from breeding.words.language import tell


@keepers_only
def paper_new(request: PageRequest, animal_pk: int) -> HttpResponse:
    """Write down a paper on where an animal comes from."""
    animal = get_object_or_404(Animal, pk=animal_pk)
    form = OriginPaperForm(request.POST or None, request.FILES or None)
    if written(
        request,
        form,
        lambda: add_origin_paper(animal, by=request.user, today=clock.today(), **form.cleaned_data),
    ):
        say(request, tell("The paper of {animal} is saved.", animal=animal.name))
        return redirect("origin:detail", animal.pk)
    return render(request, "origin/paper_new.html", {"form": form, "animal": animal})


@require_safe
def document(request: PageRequest, pk: int) -> HttpResponseBase:
    """The document of a paper as it came, for those signed in."""
    paper = get_object_or_404(OriginPaper, pk=pk)
    if not paper.document or paper.document_type not in ENDINGS:
        raise Http404("No document is kept with this paper.")
    name = f"origin-{paper.animal_id}-{paper.pk}.{ENDINGS[paper.document_type]}"
    try:
        response = FileResponse(
            paper.document.open("rb"), content_type=paper.document_type, filename=name
        )
    except FileNotFoundError:
        raise Http404("The document that was kept with this paper is missing.") from None
    # It came from outside: it may do nothing, and is taken for nothing but what it is.
    response.headers["Content-Security-Policy"] = "default-src 'none'; sandbox"
    response.headers["X-Content-Type-Options"] = "nosniff"
    response.headers["Cache-Control"] = "private, no-store"
    return response
