"""A made-up language in which every message stands between ⟦ and ⟧, and what stands outside."""

import html
import re
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

import polib
from django.apps import apps
from django.conf import settings
from django.db import models
from django.test import override_settings
from django.utils.translation import trans_real

from breeding.program.language.sources import Message, messages
from breeding.program.language.unmarked import NO_WORDS

CODE = "qq"
OPEN, CLOSE = "⟦", "⟧"
# Parts of dates and numbers are read back by nobody, but what they choose is.
AS_IT_IS = {"24", "Monday"}
SPOKEN_ASIDE = re.compile(r"<(script|style|template|code|pre)\b.*?</\1>|<!--.*?-->", re.DOTALL)
ASIDE = re.compile(r"\b(?:title|alt|placeholder|aria-label)=(?:\"([^\"]*)\"|'([^']*)')")
TAG = re.compile(r"<[^>]*>", re.DOTALL)
# A paper is kept in the language of whoever it was issued for; an address is of none.
IN_ANOTHER = re.compile(rf"<(article)\b[^>]*\blang=\"(?!{CODE}\")[^>]*>.*?</\1>", re.DOTALL)
ADDRESS = re.compile(r"https?://[^\s<>\"]+")
WORD = re.compile(r"[^\W\d_]{2,}")
# Scripts are read by nobody; what is code (a file, a command) is alike in every language.
# Names of the program itself, of languages under their own name, of file formats.
NAMES = {"rayward", "deutsch", "english", CODE, "pdf", "csv", "svg", "zip", "http", "https"}


def _marked(text: str) -> str:
    return text if text in AS_IT_IS else f"{OPEN}{text}{CLOSE}"


def _entry(one: Message) -> polib.POEntry:
    if not one.plural:
        return polib.POEntry(msgid=one.text, msgctxt=one.context, msgstr=_marked(one.text))
    return polib.POEntry(
        msgid=one.text,
        msgid_plural=one.plural,
        msgctxt=one.context,
        msgstr_plural={0: _marked(one.text), 1: _marked(one.plural)},
    )


def written_to(place: Path) -> None:
    """The catalog of the made-up language, as gettext finds it under `place`."""
    catalog = polib.POFile()
    catalog.metadata = {
        "Content-Type": "text/plain; charset=UTF-8",
        "Plural-Forms": "nplurals=2; plural=(n != 1);",
    }
    said = {one.key: one for _, _, one in messages()}
    catalog.extend(_entry(one) for one in said.values())
    folder = place / CODE / "LC_MESSAGES"
    folder.mkdir(parents=True)
    (folder / "django.mo").write_bytes(catalog.to_binary())


@contextmanager
def made_up_language(place: Path) -> Iterator[None]:
    """Within it the made-up language can be chosen like any other."""
    written_to(place)
    known = [*settings.LANGUAGES, (CODE, CODE)]
    with override_settings(LANGUAGES=known, LOCALE_PATHS=[*settings.LOCALE_PATHS, str(place)]):
        trans_real._translations.pop(CODE, None)
        try:
            yield
        finally:
            trans_real._translations.pop(CODE, None)


def stored_words() -> set[str]:
    """Every word that stands in a text of the database, in small letters."""
    found: set[str] = set()
    for model in apps.get_models():
        texts = [
            one.attname
            for one in model._meta.concrete_fields
            if isinstance(one, (models.CharField, models.TextField, models.JSONField))
        ]
        for row in model._base_manager.values_list(*texts) if texts else ():
            found.update(word.lower() for value in row for word in WORD.findall(str(value)))
    return found


def stored_texts() -> set[str]:
    """Every text of the database that is no message: what somebody wrote, and names."""
    said = {one.text for _, _, one in messages()}
    found: set[str] = set()
    for model in apps.get_models():
        texts = [
            one.attname
            for one in model._meta.concrete_fields
            if isinstance(one, (models.CharField, models.TextField))
        ]
        for row in model._base_manager.values_list(*texts) if texts else ():
            found.update(one.strip() for one in map(str, row) if " " in one.strip())
    return found - said


def outside(page: str) -> list[str]:
    """The words of a page that no message holds, in the order in which they are read."""
    for aside in (SPOKEN_ASIDE, IN_ANOTHER):
        page = aside.sub(" ", page)
    texts = [ADDRESS.sub(" ", TAG.sub(" ", page))]
    texts += [found[1] or found[2] or "" for found in ASIDE.finditer(page)]
    return [
        word for text in texts for part in _outside(html.unescape(text)) for word in _words(part)
    ]


def _outside(text: str) -> Iterable[str]:
    depth = 0
    for part in re.split(f"([{OPEN}{CLOSE}])", text):
        if part == OPEN:
            depth += 1
        elif part == CLOSE:
            depth = max(0, depth - 1)
        elif not depth:
            yield part


def _words(text: str) -> list[str]:
    return [word for word in WORD.findall(text) if word not in NO_WORDS]
