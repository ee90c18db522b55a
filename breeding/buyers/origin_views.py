"""Pages of the proof of origin: the chain, its papers, and the document behind each."""

from django.contrib import messages
from django.http import FileResponse, Http404, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from breeding.animals.models import Animal
from breeding.buyers import origin as proving
from breeding.buyers.forms import PAPERS
from breeding.buyers.models import OriginPaper
from breeding.buyers.origin_papers import ENDINGS, add_origin_paper
from breeding.buyers.origin_pdf import render_origin
from breeding.buyers.sale_forms import OriginPaperForm
from breeding.buyers.sheet_pdf import Paper
from breeding.program import clock
from breeding.program.cautions import cautions
from breeding.program.decorators import keepers_only
from breeding.program.forms import WithdrawForm
from breeding.program.models import Program
from breeding.program.problems import written
from breeding.program.requests import PageRequest
from breeding.program.services import withdraw as withdraw_record


@require_safe
def origin(request: PageRequest, animal_pk: int) -> HttpResponse:
    """The chain back to the founders; it prints as it stands."""
    animal = get_object_or_404(Animal, pk=animal_pk)
    withdrawn = animal.origin_papers.filter(withdrawn_at__isnull=False)
    context = {
        "animal": animal,
        "proof": proving.proof_of(animal, asof=clock.today()),
        "law": cautions()["law"],
        "papers": papers_for(request.program),
        "withdrawn": list(withdrawn.select_related("withdrawn_by")),
    }
    return render(request, "buyers/origin.html", context)


def papers_for(program: Program) -> list[tuple[Paper, str]]:
    """A4 and US Letter; where lengths are in inches, Letter is likelier to lie in the tray."""
    return sorted(PAPERS, key=lambda one: (one[0] == "us-letter") == (program.length_unit != "in"))


@require_safe
def origin_file(request: PageRequest, animal_pk: int) -> HttpResponse:
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


@keepers_only
def origin_paper_new(request: PageRequest, animal_pk: int) -> HttpResponse:
    """Write down a paper on where an animal comes from."""
    animal = get_object_or_404(Animal, pk=animal_pk)
    form = OriginPaperForm(request.POST or None, request.FILES or None)
    if written(
        request,
        form,
        lambda: add_origin_paper(animal, by=request.user, today=clock.today(), **form.cleaned_data),
    ):
        messages.success(request, f"The paper of {animal.name} is kept.")
        return redirect("buyers:origin", animal.pk)
    return render(request, "buyers/origin_paper_new.html", {"form": form, "animal": animal})


@keepers_only
def origin_paper_withdraw(request: PageRequest, pk: int) -> HttpResponse:
    """Withdraw a mistaken paper with the reason; it stays readable."""
    paper = get_object_or_404(OriginPaper.objects.select_related("animal"), pk=pk)
    form = WithdrawForm(request.POST or None)
    if written(
        request,
        form,
        lambda: withdraw_record(
            paper, by=request.user, now=clock.now(), reason=form.cleaned_data["reason"]
        ),
    ):
        messages.success(request, "The paper is withdrawn.")
        return redirect("buyers:origin", paper.animal_id)
    return render(request, "buyers/origin_paper_withdraw.html", {"form": form, "paper": paper})


@require_safe
def origin_document(request: PageRequest, pk: int) -> HttpResponseBase:
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
