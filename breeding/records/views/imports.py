"""Pages of the room `records`: bring in a table, look it through, write it down."""

from collections.abc import Callable, Sequence
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
from breeding.program.language.chosen import in_own_language
from breeding.program.models import Act
from breeding.program.problems.beside import written
from breeding.program.problems.doubts import DoubtError, sure_in
from breeding.records import queries, services
from breeding.records.answer_forms import MOST_CAUSES, AnswersForm
from breeding.records.forms import ColumnsForm, CorrectionForm, TableForm
from breeding.records.incoming.delimited import MOST_COLUMNS, MOST_ROWS
from breeding.records.incoming.examples import example, examples
from breeding.records.incoming.problems import Looked
from breeding.records.models import ImportDraft
from breeding.words.language import tell


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
    if kept := written(request, form, lambda: _keep_drafts(request, form)):
        drafts, refused = kept
        if refused:
            words = tell(
                "Sheets that are not tables and were not taken: {sheets}", sheets=" ".join(refused)
            )
            say(request, words)
        return redirect(drafts[0])
    page = {
        "form": form,
        "drafts": queries.drafts(),
        "examples": examples(),
        "kinds": queries.kinds_in_words(),
        "most_rows": MOST_ROWS,
        "most_columns": MOST_COLUMNS,
    }
    return render(request, "records/index.html", page)


def _keep_drafts(request: PageRequest, form: TableForm) -> tuple[list[ImportDraft], list[str]]:
    """The drafts in the order in which they are brought in, and what was no table."""
    facts = form.cleaned_data
    if "sheets" in facts:
        return services.keep_sheets(
            by=request.user, file_name=facts["file_name"], sheets=facts["sheets"]
        )
    kept = {name: facts[name] for name in ("file_name", "text")}
    return [services.keep_draft(by=request.user, **kept)], []


@keepers_only
def columns(request: PageRequest, pk: int) -> HttpResponse:
    """What the columns mean, what is asked, and the rows as they would be written."""
    draft = get_object_or_404(ImportDraft, pk=pk)
    if draft.is_written:
        return redirect(draft)
    looked = queries.looked(draft, program=request.program, now=clock.now(), today=clock.today())
    sent = request.POST if request.method == "POST" else None
    is_correction, is_answer = "text" in request.POST, "answers" in request.POST
    answers = AnswersForm(sent if is_answer else None, asked=queries.asked(draft, looked))
    form = ColumnsForm(
        None if is_correction or is_answer else sent,
        instance=draft,
        table=looked.table,
        today=clock.today(),
    )
    correction = CorrectionForm(sent if is_correction else None, initial={"text": draft.text})
    changed = answers if is_answer else correction if is_correction else form
    act: Callable[[], ImportDraft] = lambda: services.choose_columns(draft, **form.choices())  # noqa: E731
    if is_answer:
        act = lambda: _answer(draft, answers)  # noqa: E731
    elif is_correction:
        act = lambda: services.correct_text(draft, correction.cleaned_data["text"])  # noqa: E731
    if written(request, changed, act):
        return redirect(draft)
    page = {
        "form": form,
        "correction": correction,
        "is_correction": is_correction,
        "answers": answers,
    }
    return render(request, "records/columns.html", page | _preview(request, pk, looked))


def _answer(draft: ImportDraft, form: AnswersForm) -> ImportDraft:
    return services.answer(draft, given=form.given(), taken_back=form.taken_back())


def _preview(request: PageRequest, pk: int, looked: Looked) -> dict[str, Any]:
    draft = ImportDraft.objects.get(pk=pk)  # without what an unsaved form put into it
    others = queries.others_of_workbook(draft)
    rows: Sequence[Any] = looked.rows  # type: ignore[attr-defined]
    shown = Paginator(rows, queries.ROWS_A_PAGE).get_page(request.GET.get("page"))
    return {
        "draft": draft,
        "proposal": looked,
        "size_words": queries.size_words(looked.table),
        "to_write_words": queries.number_words(draft, len(rows)),
        "is_animals": draft.kind == ImportDraft.Kind.ANIMALS,
        "others": others,
        "first": queries.waiting_before(draft, others),
        "counts": {
            "rows": len(looked.table.rows),
            "columns": len(looked.table.headers),
            "to_write": len(rows),
        },
        "page": shown,
        **queries.preview(looked, shown.object_list, program=request.program),
        "questions": looked.questions[: queries.ROWS_A_PAGE],
        "more_questions": max(0, len(looked.doubts) - queries.ROWS_A_PAGE),
        "more_causes": max(0, len(looked.causes) - MOST_CAUSES),
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
            messages.error(request, tell("Nothing was written: answer what is asked below first."))
        except ValidationError:
            words = tell("Nothing was written: there are problems to solve first.")
            messages.error(request, words)
        else:
            words = tell(
                "Brought in from {file}: {records}.",
                file=draft.file_name,
                records=queries.written_words(written_down),
            )
            say(request, words)
        return redirect(draft)
    if not draft.is_written:
        return redirect(draft)
    is_animals = draft.kind == ImportDraft.Kind.ANIMALS
    every = draft.animals.order_by("pk") if is_animals else draft.receipt
    page = Paginator(every, queries.ROWS_A_PAGE).get_page(request.GET.get("page"))
    rows: Any = (
        queries.written_rows(page.object_list)
        if is_animals
        else [(in_own_language(said), address) for said, address in page.object_list]
    )
    act = Act.objects.filter(key=draft.written_with or "-").first()
    context = {
        "draft": draft,
        "page": page,
        "rows": rows,
        "is_animals": is_animals,
        "written": queries.written_words(draft),
        "left_out": queries.left_out_words(draft),
        "others": queries.others_of_workbook(draft),
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
        words = tell("{file} is given up; nothing of it was written.", file=draft.file_name)
        say(request, words)
        return redirect("records:index")
    return render(request, "records/give_up.html", {"draft": draft})
