"""Pages of the room `records`: bring in a table, look it through, write it down."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from breeding.litters.births.found import found_litters
from breeding.program import clock
from breeding.program.acts.once import act_once, say
from breeding.program.frame.decorators import keepers_only
from breeding.program.frame.requests import PageRequest
from breeding.program.models import Act
from breeding.program.problems.beside import written
from breeding.program.problems.doubts import DoubtError, sure_in
from breeding.records import queries, services
from breeding.records.forms import ColumnsForm, CorrectionForm, TableForm
from breeding.records.incoming.delimited import MOST_COLUMNS, MOST_ROWS, read_table
from breeding.records.incoming.examples import example, examples
from breeding.records.incoming.meanings import MEANINGS
from breeding.records.incoming.proposal import propose
from breeding.records.models import ImportDraft
from breeding.words.numbers import counted


@keepers_only
def index(request: PageRequest) -> HttpResponse:
    """Hand over a table, as a file or as text; what is being brought in, and examples."""
    chosen = example(request.POST.get("example", ""))
    if chosen is not None:
        draft = act_once(
            request,
            lambda: services.keep_draft(
                by=request.user, file_name=chosen.file_name, text=chosen.text, usual_state="left"
            ),
        )
        return redirect(draft)
    sent = (request.POST, request.FILES) if request.method == "POST" else ()
    form = TableForm(*sent)
    if kept := written(request, form, lambda: _keep_draft(request, form)):
        return redirect(kept)
    page = {
        "form": form,
        "drafts": queries.drafts(),
        "examples": examples(),
        "meanings": MEANINGS,
        "most_rows": MOST_ROWS,
        "most_columns": MOST_COLUMNS,
    }
    return render(request, "records/index.html", page)


def _keep_draft(request: PageRequest, form: TableForm) -> ImportDraft:
    kept = {name: form.cleaned_data[name] for name in ("file_name", "text")}
    return services.keep_draft(by=request.user, **kept)


@keepers_only
def columns(request: PageRequest, pk: int) -> HttpResponse:
    """What the columns mean, every problem by line, and the rows as they would be written."""
    draft = get_object_or_404(ImportDraft, pk=pk)
    if draft.is_written:
        return redirect(draft)
    today = clock.today()
    table = read_table(draft.text, draft.delimiter)
    is_correction = "text" in request.POST
    form = ColumnsForm(
        request.POST if request.method == "POST" and not is_correction else None,
        instance=draft,
        table=table,
        today=today,
    )
    correction = CorrectionForm(
        request.POST if is_correction else None, initial={"text": draft.text}
    )
    changed = correction if is_correction else form
    if written(
        request,
        changed,
        lambda: (
            services.correct_text(draft, correction.cleaned_data["text"])
            if is_correction
            else services.choose_columns(draft, **form.choices())
        ),
    ):
        return redirect(draft)
    page = {"form": form, "correction": correction, "is_correction": is_correction}
    return render(request, "records/columns.html", page | _preview(request, draft))


def _preview(request: PageRequest, draft: ImportDraft) -> dict[str, Any]:
    draft = ImportDraft.objects.get(pk=draft.pk)  # without what an unsaved form put into it
    proposal = propose(draft, program=request.program, today=clock.today())
    shown = Paginator(proposal.rows, queries.ROWS_A_PAGE).get_page(request.GET.get("page"))
    return {
        "draft": draft,
        "proposal": proposal,
        "counts": {
            "rows": len(proposal.table.rows),
            "columns": len(proposal.table.headers),
            "problems": len(proposal.problems),
        },
        "page": shown,
        "rows": queries.preview_rows(proposal, shown.object_list, program=request.program),
        "problems": proposal.problems[: queries.ROWS_A_PAGE],
        "questions": proposal.questions[: queries.ROWS_A_PAGE],
        "more_questions": max(0, len(proposal.doubts) - queries.ROWS_A_PAGE),
        "more_problems": max(0, len(proposal.problems) - queries.ROWS_A_PAGE),
    }


@keepers_only
def write(request: PageRequest, pk: int) -> HttpResponse:
    """Write the draft down; afterwards the page says what was written."""
    draft = get_object_or_404(ImportDraft, pk=pk)
    if request.method == "POST":
        try:
            written_down = act_once(
                request,
                lambda: services.write_draft(
                    draft,
                    by=request.user,
                    program=request.program,
                    now=clock.now(),
                    today=clock.today(),
                    sure=sure_in(request.POST),
                ),
            )
        except DoubtError:
            messages.error(request, "Nothing was written: answer what is asked below first.")
        except ValidationError:
            messages.error(request, "Nothing was written: there are problems to solve first.")
        else:
            animals = counted(written_down.animals.count(), "animal")
            say(request, f"Brought in from {draft.file_name}: {animals}.")
        return redirect(draft)
    if not draft.is_written:
        return redirect(draft)
    shown = Paginator(draft.animals.order_by("pk"), queries.ROWS_A_PAGE)
    page = shown.get_page(request.GET.get("page"))
    rows = queries.written_rows(page.object_list)
    act = Act.objects.filter(key=draft.written_with or "-").first()
    context = {
        "draft": draft,
        "page": page,
        "rows": rows,
        "act": act,
        "litters": len(found_litters(set(draft.animals.values_list("pk", flat=True)))),
    }
    return render(request, "records/write.html", context)


@keepers_only
def give_up(request: PageRequest, pk: int) -> HttpResponse:
    """Throw a draft away, once asked."""
    draft = get_object_or_404(ImportDraft, pk=pk)
    if draft.is_written:
        return redirect(draft)
    if request.method == "POST":
        act_once(request, lambda: services.give_up(draft))
        say(request, f"{draft.file_name} is given up; nothing of it was written.")
        return redirect("records:index")
    return render(request, "records/give_up.html", {"draft": draft})
