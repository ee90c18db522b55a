"""The page on which a record that others name is joined to another of its kind."""

from typing import Any

from breeding.program import clock
from breeding.program.acts.named import join
from breeding.program.forms import JoinForm
from breeding.program.frame.requests import PageRequest
from breeding.program.problems.beside import written


def joining(request: PageRequest, record: Any) -> tuple[JoinForm, int | None]:
    """The form, and how many records went along; None as long as nothing is joined."""
    others = type(record).objects.exclude(pk=record.pk)
    form = JoinForm(request.POST or None, others=others)
    moved = written(
        request,
        form,
        lambda: join(record, form.cleaned_data["into"], by=request.user, now=clock.now()),
        changing=record,
    )
    return form, moved
