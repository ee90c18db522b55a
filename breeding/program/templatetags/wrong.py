"""What is wrong with a refused form, to begin its page with; loaded for every template."""

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from django import template
from django.forms import BaseForm, BaseFormSet, BoundField
from django.template import Context
from django.utils.html import format_html
from django.utils.safestring import SafeString

from breeding.program.problems.doubts import SURE
from breeding.words.language import tell

register = template.Library()


class Wrong(NamedTuple):
    """One thing that is wrong: where on the page it is put right, and what it is."""

    address: str
    words: str
    is_question: bool = False  # asked once: an answer is wanted, nothing is wrong


@register.simple_tag(takes_context=True)
def all_that_is_wrong(context: Context) -> list[Wrong]:
    """Of every form on the page that was sent and is refused, in the order of its fields."""
    shown: dict[Any, Any] = dict(context.flatten())
    rows = [one for one in shown.values() if isinstance(one, BaseFormSet) and one.is_bound]
    found = [Wrong("", str(words)) for one in rows for words in one.non_form_errors()]
    found += [one for form in _forms(shown) for one in _wrong_in(form)]
    return list(dict.fromkeys(found))


@register.filter
def only_asks(found: list[Wrong]) -> bool:
    """Whether nothing is wrong: a question is all that stands before it is written."""
    return all(one.is_question for one in found)


@register.simple_tag
def group(field: BoundField) -> SafeString:
    """<fieldset {% group form.female %}>: tiles by hand are one group, with its error if any."""
    said = format_html('id="{}" tabindex="-1" role="radiogroup"', field.auto_id)
    if field.errors:
        said += format_html(' aria-invalid="true" aria-describedby="{}_error"', field.auto_id)
    return SafeString(said)


def questions_in(form: BaseForm) -> list[str]:
    """The doubts of a form as they are drawn, each with the box to tick."""
    errors = form.non_field_errors().as_data()
    return [str(next(iter(one))) for one in errors if one.code == SURE]


def _forms(context: Mapping[Any, Any]) -> Iterator[BaseForm]:
    seen: set[int] = set()
    for value in context.values():
        for one in value.forms if isinstance(value, BaseFormSet) else [value]:
            if isinstance(one, BaseForm) and one.is_bound and id(one) not in seen:
                seen.add(id(one))
                yield one


def _wrong_in(form: BaseForm) -> Iterator[Wrong]:
    if not form.errors:
        return
    if questions_in(form):  # they stand in the form, with their box
        yield Wrong("#doubts", tell("There is a question before it is written."), is_question=True)
    for words in form.non_field_errors():
        if words in questions_in(form):
            continue
        # Of one row among several: the way to that row, by its first field.
        yield Wrong(_address_of(form.visible_fields()[0]) if form.prefix else "", str(words))
    for name in form.fields:
        bound = form[name]
        for words in bound.errors:
            yield Wrong("" if bound.is_hidden else _address_of(bound), str(words))


def _address_of(bound: BoundField) -> str:
    return f"#{bound.id_for_label or bound.auto_id}" if bound.auto_id else ""
