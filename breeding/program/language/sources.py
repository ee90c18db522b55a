"""What the program says: the messages in its code, its templates and its figures."""

import ast
import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.template import Origin, Template
from django.template.base import FilterExpression, Node, NodeList, Variable
from django.template.engine import Engine
from django.template.smartif import TokenBase
from django.templatetags.i18n import BlockTranslateNode, TranslateNode
from django.utils import translation
from django.utils.functional import Promise

from breeding.program.language.catalogs import ROOMS
from breeding.program.language.labels import labels_of
from breeding.program.language.names import names_of

# Lower rooms first: what several rooms say stands in the catalog of the lowest.
ORDER = (
    *("words", "gestation", "program", "animals", "identity", "housing", "feeding", "health"),
    *("pairings", "litters", "traits", "planning", "buyers", "arrivals", "sheets", "exchange"),
    *("origin", "offers", "agenda"),
    *("finding", "help", "records", "demo"),
)
FIGURES = {"species.json": "animals", "cautions.json": "program", "doubts.json": "program"}
FIGURES |= {"health.json": "health", "water.json": "housing", "glossary.json": "help"}
# Of these keys the values are read by keepers.
SAID_IN_FIGURES = frozenset({"text", "heading", "source", "note", "words", "unit", "example"})
# Where the parts of a message stand among the arguments: context, message, plural.
CALLS: dict[str, tuple[int | None, int, int | None]] = {
    "tell": (None, 0, None),
    "tell_many": (None, 0, 1),
    "tell_as": (0, 1, None),
    "message": (None, 0, None),
    "message_many": (None, 0, 1),
    "message_as": (0, 1, None),
    "_": (None, 0, None),
    "gettext": (None, 0, None),
    "gettext_lazy": (None, 0, None),
    "ngettext_lazy": (None, 0, 1),
    "pgettext_lazy": (0, 1, None),
}


@dataclass(frozen=True)
class Message:
    """One sentence, as gettext finds it again."""

    text: str
    plural: str = ""
    context: str | None = None

    @property
    def key(self) -> tuple[str | None, str]:
        return (self.context, self.text)


def messages(rooms: Path = ROOMS) -> Iterator[tuple[str, Path, Message]]:
    """Every message with its room and its file, room by room from the lowest on."""
    for room in ORDER:
        for path in files_of(room, rooms):
            for one in _messages_in(path):
                yield room, path, one
        for name in names_of(room):
            yield room, rooms / room / "models.py", Message(name)
        for name in labels_of(room):
            yield room, rooms / room / "forms.py", Message(name)


def files_of(room: str, rooms: Path) -> list[Path]:
    found = [*(rooms / room).rglob("*.py"), *_templates(rooms / room)]
    if room == "program":  # the frame and what runs before any room stand beside them
        found += [*rooms.glob("*.py"), *_templates(rooms / "templates")]
    figures = next(one for one in (rooms / "fixtures", rooms.parent / "fixtures") if one.is_dir())
    found += [figures / name for name, whose in FIGURES.items() if whose == room]
    return sorted(one for one in found if "migrations" not in one.parts)


def _templates(place: Path) -> list[Path]:
    return [one for one in place.rglob("templates/**/*.*") if one.suffix in (".html", ".txt")] + [
        one for one in place.glob("*.html") if place.name == "templates"
    ]


def _messages_in(path: Path) -> Iterator[Message]:
    text = path.read_text(encoding="utf-8")
    if path.suffix == ".py":
        return in_code(text)
    return in_figures(json.loads(text)) if path.suffix == ".json" else in_template(text, path)


def in_code(text: str) -> Iterator[Message]:
    """The messages that code hands to one of CALLS; `message` marks what is said later."""
    for node in ast.walk(ast.parse(text)):
        if not isinstance(node, ast.Call):
            continue
        name = getattr(node.func, "id", getattr(node.func, "attr", ""))
        places = CALLS.get(name)
        if places is None:
            continue
        context, one, many = (_constant(node, place) for place in places)
        if one:
            yield Message(one, many or "", context or None)


def _constant(call: ast.Call, place: int | None) -> str | None:
    if place is None or place >= len(call.args):
        return None
    argument = call.args[place]
    if isinstance(argument, ast.JoinedStr):
        raise ValueError(
            f"Line {argument.lineno}: a message is one whole sentence with {{names}} in it, "
            "filled in by tell; an f-string cannot be found in a catalog."
        )
    return argument.value if isinstance(argument, ast.Constant) else None  # type: ignore[return-value]


def in_figures(value: Any, key: str = "") -> Iterator[Message]:
    """The sentences among figures and their sources."""
    if isinstance(value, dict):
        for name, one in value.items():
            yield from in_figures(one, name)
    elif isinstance(value, list):
        for one in value:
            yield from in_figures(one, key)
    elif isinstance(value, str) and is_said(key) and value:
        yield Message(value)


def is_said(key: str) -> bool:
    return key in SAID_IN_FIGURES or key.endswith("_source")


def in_template(text: str, path: Path | None = None) -> Iterator[Message]:
    """The messages of a template, as Django itself asks for them: a per cent sign is doubled."""
    origin = Origin(name=str(path), template_name=str(path))
    with translation.override(None):
        yield from _in_node(Template(text, origin, engine=Engine.get_default()).nodelist)


def _in_node(node: Any) -> Iterator[Message]:
    """Walks through whatever holds messages: nodes, their lists, what they resolve and compare."""
    if isinstance(node, BlockTranslateNode):
        yield _of_block(node)
        parts: Iterable[Any] = node.extra_context.values()
    elif isinstance(node, TranslateNode):
        yield _of_tag(node)
        parts = [node.filter_expression.filters]
    elif isinstance(node, Promise):
        yield Message(str(node))
        return
    elif isinstance(node, FilterExpression):
        parts = [node.var, node.filters]
    elif isinstance(node, (NodeList, list, tuple)):
        parts = node
    elif isinstance(node, dict):
        parts = node.values()
    elif isinstance(node, (Node, TokenBase)):
        parts = [value for name, value in vars(node).items() if name not in ("token", "origin")]
    else:
        return
    for part in parts:
        yield from _in_node(part)


def _of_tag(node: TranslateNode) -> Message:
    said = node.filter_expression.var
    text = str(said.literal if isinstance(said, Variable) else said)
    return Message(text.replace("%", "%%"), context=_context_of(node))


def _of_block(node: BlockTranslateNode) -> Message:
    one, _ = node.render_token_list(node.singular)
    many = node.render_token_list(node.plural)[0] if node.plural else ""
    return Message(one, many, _context_of(node))


def _context_of(node: Any) -> str | None:
    context = node.message_context
    return str(context.resolve({})) if context else None
