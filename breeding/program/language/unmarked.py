"""Words on pages that no catalog can hold, since nothing marks them as a message."""

import ast
import re
from collections.abc import Iterable, Iterator
from pathlib import Path

from breeding.program.language.catalogs import ROOMS
from breeding.program.language.sources import CALLS, files_of

MARKED = re.compile(r"\{% blocktranslate.*?%\}.*?\{% endblocktranslate %\}", re.DOTALL)
NOT_SAID = re.compile(
    r"\{% comment.*?%\}.*?\{% endcomment %\}|\{#.*?#\}|<!--.*?-->|<(script|style)\b.*?</\1>"
    r"|\{% block (?:main|body)_class %\}.*?\{% endblock %\}|<meta [^>]*>",
    re.DOTALL,
)
OF_DJANGO = re.compile(r"\{%.*?%\}|\{\{.*?\}\}", re.DOTALL)
SAID_IN_TAGS = re.compile(r"\b(?:title|alt|placeholder|aria-label|content)=\"([^\"]*)\"")
TAG = re.compile(r"<[^>]*>", re.DOTALL)
WORD = re.compile(r"[A-Za-z]{2,}")
# What is not said but is a unit or a mark, alike in every language we know of.
NO_WORDS = frozenset(
    (
        *("cm", "mm", "in", "oz", "lb", "kg", "mg", "ml", "gal", "pH", "KH", "GH", "NH", "NO"),
        *("PDF", "CSV", "ID", "QR", "nbsp", "amp", "times", "middot"),
    )
)


def unmarked(rooms: Iterable[str], top: Path = ROOMS) -> Iterator[str]:
    """A line for each, with its file: of templates every word, of code what looks a sentence."""
    for room in rooms:
        for path in files_of(room, top):
            if path.suffix == ".json":
                continue
            text = path.read_text(encoding="utf-8")
            found = in_code(text) if path.suffix == ".py" else in_template(text)
            for line, words in found:
                yield f"{path.relative_to(top)}:{line}: {words}"


def in_template(text: str) -> Iterator[tuple[int, str]]:
    """The line and the words of what a template says without {% translate %}."""
    for pattern in (MARKED, NOT_SAID, OF_DJANGO):
        text = pattern.sub(_blank, text)
    for found in SAID_IN_TAGS.finditer(text):
        if _has_words(found[1]):
            yield text.count("\n", 0, found.start()) + 1, found[1].strip()
    for number, line in enumerate(TAG.sub(_blank, text).splitlines(), start=1):
        if _has_words(line):
            yield number, line.strip()


def _blank(found: re.Match[str]) -> str:
    """So many lines as were there, and nothing in them."""
    return "\n" * found[0].count("\n")


def _has_words(text: str) -> bool:
    return any(word not in NO_WORDS for word in WORD.findall(text))


def in_code(text: str) -> Iterator[tuple[int, str]]:
    """The line and the words of constants with a space in them that are no message.

    What is written for whoever runs or changes the program (docstrings, logs, errors of one's own
    making, patterns) is among them: a list to look through, not a test.
    """
    tree = ast.parse(text)
    passed = _passed(tree)
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            words = "".join(
                str(part.value) if isinstance(part, ast.Constant) else "{}" for part in node.values
            )
            passed.update(id(part) for part in node.values)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            words = node.value
        else:
            continue
        if id(node) not in passed and len(WORD.findall(words)) > 1 and " " in words.strip():
            yield node.lineno, " ".join(words.split())


def _passed(tree: ast.AST) -> set[int]:
    """Nodes that are docstrings, or stand within a message."""
    passed: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            passed.add(id(node.value))
        elif isinstance(node, ast.Call):
            name = getattr(node.func, "id", getattr(node.func, "attr", ""))
            if places := CALLS.get(name):
                passed.update(
                    id(node.args[place])
                    for place in places
                    if place is not None and place < len(node.args)
                )
    return passed
