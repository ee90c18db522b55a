"""Whose language counts: one's own choice, then the browser's, then the program's.

A browser asks by the language chosen on a page for strangers, else by what it is set to.
"""

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.utils import translation
from django.utils.cache import patch_vary_headers
from django.utils.translation.trans_real import parse_accept_lang_header

from breeding.words.clock import clock_of
from breeding.words.language import say_again

COOKIE = "rayward_language"
Answer = Callable[[HttpRequest], HttpResponse]


def is_known(code: str) -> bool:
    return code in dict(settings.LANGUAGES)


def own_language(person: Any) -> str:
    """What somebody chose for the pages and mails they read; nothing where they did not."""
    code = getattr(person, "language", "")
    return code if is_known(code) else ""


def asked_for(accepted: str) -> str:
    """The first of the languages a browser names that there is; nothing where there is none.

    >>> asked_for("tlh, en-GB;q=0.8"), asked_for("")
    ('en', '')
    """
    for code, _ in parse_accept_lang_header(accepted):
        for one in (code, code.partition("-")[0]):
            if is_known(one):
                return one
    return ""


def language_for(person: Any, program: Any) -> str:
    """For what is sent to somebody, where no browser asks."""
    return own_language(person) or own_language(program) or settings.LANGUAGE_CODE


@dataclass(frozen=True)
class Reader:
    """Somebody of whom no more is known than the language."""

    language: str


@contextmanager
def as_read_by(person: Any, program: Any) -> Iterator[None]:
    """Within it all is said as somebody reads it to whom something is sent."""
    hours = getattr(person, "clock", "")
    with translation.override(language_for(person, program)), clock_of(hours):
        yield


def in_each_language(words: object) -> dict[str, str]:
    """The same in each language that the program speaks: for what is kept and read later."""
    return each_in_each_language([words])[0]


def each_in_each_language(many: Sequence[object]) -> list[dict[str, str]]:
    """The same of many, each language spoken once for all of them."""
    said: list[dict[str, str]] = [{} for _ in many]
    for code, _ in settings.LANGUAGES:
        with translation.override(code):
            for its, words in zip(said, many, strict=True):
                its[code] = str(say_again(words))
    return said


def in_own_language(said: object) -> str:
    """What was kept so, for whoever reads it; words that were kept alone are as they were."""
    if not isinstance(said, dict):
        return str(said)
    return str(said.get(translation.get_language() or "", next(iter(said.values()), "")))


def as_written(words: Callable[[], str]) -> str:
    """What is said within, as it stands in the code: for what is kept and read in any language."""
    with translation.override(None):
        return str(words())


class LanguageMiddleware:
    """Answers in the language of whoever asks. It stands behind the one that knows who that is."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        own = own_language(request.user)
        code = own or _of_the_browser(request)
        request.has_language = bool(code)  # type: ignore[attr-defined]
        hours = getattr(request.user, "clock", "")
        with translation.override(code or settings.LANGUAGE_CODE), clock_of(hours):
            response = self.get_response(request)
            response.headers.setdefault("Content-Language", translation.get_language() or "")
        if not own:
            patch_vary_headers(response, ["Accept-Language", "Cookie"])
        return response


def _of_the_browser(request: HttpRequest) -> str:
    kept = request.COOKIES.get(COOKIE, "")
    return kept if is_known(kept) else asked_for(request.headers.get("Accept-Language", ""))
