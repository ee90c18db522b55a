"""A small question mark beside a figure, which leads to what its word means; or the words here."""

from collections.abc import Mapping, Sequence
from typing import Any

from django import template
from django.urls import reverse
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from breeding.program.reference.glossary import Term, terms
from breeding.words.language import tell

register = template.Library()


@register.simple_tag
def explained(key: str) -> SafeString:
    """{% explained "F" %}: a link named “What is F?” to the word on the page of words."""
    term = terms()[key]
    return format_html(
        '<a class="what-is" href="{}#{}" aria-label="{}"><span aria-hidden="true">?</span></a>',
        reverse("help:words"),
        term.key,
        tell("What is {term}?", term=tell(term.words)),
    )


@register.simple_tag
def explained_words(*keys: str | Sequence[str]) -> SafeString:
    """{% explained_words "F" "hold" %}: a line of words, a question mark behind each; or nothing.

    A list gives its keys as one value: {% explained_words table.explains %}.
    """
    said = [
        (tell(terms()[key].words), explained(key))
        for given in keys
        for key in ([given] if isinstance(given, str) else given)
    ]
    if not said:
        return SafeString("")
    words = format_html_join(" ", "<span>{}{}</span>", said)
    return format_html('<p class="soft words-explained">{}</p>', words)


@register.inclusion_tag("program/_words_here.html")
def words_here(*keys: str) -> Mapping[str, Any]:
    """{% words_here "F" %}: what the words mean, on a page whose reader may open no other."""
    return {"terms": [_told(terms()[key]) for key in keys]}


def _told(term: Term) -> Term:
    return Term(term.key, tell(term.words), tell(term.text), tell(term.example), tell(term.source))
