"""The proof of origin, on screen and on paper."""

from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from breeding.animals.models import Animal
from breeding.origin import proof as proving
from breeding.origin.pdf import render_origin
from breeding.program import clock
from breeding.program.frame.requests import PageRequest
from breeding.program.kinds import kind_words
from breeding.program.models import Program
from breeding.program.reference.cautions import cautions
from breeding.sheets.forms import PAPERS
from breeding.sheets.pdf import Paper


@require_safe
def detail(request: PageRequest, animal_pk: int) -> HttpResponse:
    """The chain back to the founders; it prints as it stands."""
    animal = get_object_or_404(Animal, pk=animal_pk)
    withdrawn = animal.origin_papers.filter(withdrawn_at__isnull=False)
    context = {
        "animal": animal,
        "proof": proving.proof_of(animal, asof=clock.today()),
        "law": cautions(kind_words())["law"],
        "papers": papers_for(request.program),
        "withdrawn": list(withdrawn.select_related("withdrawn_by")),
    }
    return render(request, "origin/detail.html", context)


def papers_for(program: Program) -> list[tuple[Paper, str]]:
    """A4 and US Letter; where lengths are in inches, Letter is likelier to lie in the tray."""
    return sorted(PAPERS, key=lambda one: (one[0] == "us-letter") == (program.length_unit != "in"))


@require_safe
def file(request: PageRequest, animal_pk: int) -> HttpResponse:
    """The same on paper, A4 or US Letter."""
    animal = get_object_or_404(Animal, pk=animal_pk)
    papers = [one for one, _ in papers_for(request.program)]
    wanted = request.GET.get("paper") or papers[0]
    if wanted not in papers:
        raise Http404(f"“{wanted}” is no paper; there are {' and '.join(papers)}.")
    paper = papers[papers.index(wanted)]
    proof = proving.proof_of(animal, asof=clock.today())
    content = render_origin(proof, request.program.name, by=str(request.user), paper=paper)
    response = HttpResponse(content, content_type="application/pdf")
    name = slugify(animal.name) or animal.pk
    response.headers["Content-Disposition"] = f'inline; filename="origin-of-{name}.pdf"'
    response.headers["Cache-Control"] = "private, no-store"
    return response
