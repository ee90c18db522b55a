"""A parentage sheet as a tagged PDF of one or two pages, from its facts and pictures."""

import json
import re
import tempfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path
from typing import Any, Literal
from urllib.parse import urlsplit

import segno
import typst
from PIL import Image, ImageOps

from breeding.animals.pictures import tree_svg
from breeding.sheets.contents.facts import AnimalOfSheet, PersonOfTree, SheetFacts
from breeding.sheets.sealing.attachment import frame_digest, with_attachment

Paper = Literal["a4", "us-letter"]

TEMPLATE = Path(__file__).with_name("typst") / "sheet.typ"
MOST_PAGES = 2
PICTURES_TOGETHER_BYTES = 700_000  # the whole file stays under 1 MB
# Not from the clock's library, which follows the machine's language.
_MONTHS = (
    *("January", "February", "March", "April", "May", "June", "July", "August", "September"),
    *("October", "November", "December"),
)
_POINTS_PER_MM = 72 / 25.4
_TEXT_WIDTH_MM = {"a4": 210 - 36, "us-letter": 215.9 - 36}


@dataclass(frozen=True)
class _Layout:
    """Sizes of one way to lay out a sheet: sides of pictures, height of the tree, type, rows."""

    pages: int
    parent_mm: float
    animal_mm: float
    tree_mm: float
    text_pt: float
    row_mm: float
    care_on_its_own_page: bool


def _steps(roomy: _Layout, dense: _Layout, number: int) -> Iterator[_Layout]:
    for step in range(number):
        share = step / (number - 1)
        sizes = {
            name: getattr(roomy, name) * (1 - share) + getattr(dense, name) * share
            for name in ("parent_mm", "animal_mm", "tree_mm", "text_pt", "row_mm")
        }
        yield replace(roomy, **sizes)


# Tried from first to last: one page where it fits, else the care on a page of its own, else the
# facts run on to the second page. Sizes shrink only so far that a portrait still shows the spots
# and small type can be read.
_LAYOUTS = (
    *_steps(_Layout(1, 54, 34, 70, 9.8, 0.9, False), _Layout(1, 44, 28, 56, 9.3, 0.65, False), 3),
    *_steps(_Layout(2, 62, 36, 92, 10.4, 1.2, True), _Layout(2, 32, 20, 44, 8.8, 0.5, True), 9),
    _Layout(2, 32, 20, 44, 8.8, 0.5, False),
)
_SMALLEST_TREE = 0.7  # of its natural size: letters of 10 points become 7
_ON_ONE_PAGE = sum(layout.pages == 1 for layout in _LAYOUTS)
# For a tree of many generations, which would be too small beside large portraits.
_TALL_LAYOUTS = tuple(
    _steps(_Layout(2, 46, 26, 130, 10.0, 1.0, True), _Layout(2, 34, 21, 105, 9.0, 0.6, True), 4)
)


class SheetTooLong(ValueError):  # noqa: N818 - read aloud it says what happened
    """The words do not go on two pages."""


def render_pdf(
    facts: SheetFacts,
    pictures: Mapping[str, bytes],
    *,
    paper: Paper = "a4",
    link: str = "",
    fingerprint: str = "",
    seal: Callable[[str], bytes] | None = None,
) -> bytes:
    """The sheet as a PDF after PDF/UA-1: tagged, titled, with words for every picture.

    `pictures` maps the keys that `facts` names as portraits to JPEG, PNG or WebP bytes; a
    portrait without a picture is shown as a framed "no portrait". `link` is printed as a QR code
    and `fingerprint` beside it. `seal` is given the digest of everything in the file but its
    attachment and answers what to attach. The same facts and pictures give the same bytes. Under
    1 MB, one page when all fits, never more than two.

    Raises SheetTooLong when the words do not fit, ValueError for another paper or a picture that
    cannot be read, and TreeNotDrawn when the tree is DOT text that cannot be drawn.
    """
    if paper not in _TEXT_WIDTH_MM:
        raise ValueError(f"{paper!r} is no paper: only {', '.join(_TEXT_WIDTH_MM)}.")
    tree = _tree_for_paper(facts)
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        (place / "sheet.typ").write_bytes(TEMPLATE.read_bytes())
        (place / "tree.svg").write_text(tree, "utf-8")
        shown = _facts_for_paper(facts, paper)
        shown |= {"is_sealed": seal is not None, "has_code": bool(link)}
        shown["fingerprint"] = fingerprint
        shown["link_host"] = urlsplit(link).netloc
        if link:
            segno.make(link, error="m", micro=False).save(
                str(place / "code.svg"), border=0, svgclass=None, lineclass=None
            )
        shown["pictures"] = _laid_out_pictures(facts, pictures, place)
        content = _first_that_fits(shown, tree, paper, facts, place)
    return with_attachment(content, seal(frame_digest(content))) if seal else content


def _first_that_fits(
    shown: dict[str, Any], tree: str, paper: Paper, facts: SheetFacts, place: Path
) -> bytes:
    moment = datetime.combine(facts.issued_on, datetime.min.time(), UTC)

    def set_in(layout: _Layout) -> bytes | None:
        size, _ = _tree_size(tree, layout.tree_mm, _TEXT_WIDTH_MM[paper])
        margin = 13 if layout.pages == 1 else 15
        look = {"tree_size_pt": size, "look": {**asdict(layout), "margin_top_mm": margin}}
        compiler, content = compiled(shown | look, moment, place)
        pages = json.loads(compiler.query("<page-count>", field="value", one=True))
        return content if pages <= layout.pages else None

    for layouts in _layouts_for(tree, paper):
        if content := _roomiest(layouts, set_in):
            return content
    longest = max(_texts(_facts_for_paper(facts, paper)), key=len)
    raise SheetTooLong(
        f"The sheet's words do not fit on {MOST_PAGES} pages. Shorten the longest: "
        f'"{longest[:60]}..." has {len(longest)} characters.'
    )


def _layouts_for(tree: str, paper: Paper) -> Iterator[Sequence[_Layout]]:
    """On one page, with a tall tree, on two pages: each from roomy to narrow."""
    yield [one for one in _LAYOUTS[:_ON_ONE_PAGE] if _tree_can_be_read(tree, one, paper)]
    if not _tree_can_be_read(tree, _LAYOUTS[_ON_ONE_PAGE], paper):
        yield _TALL_LAYOUTS
    yield _LAYOUTS[_ON_ONE_PAGE:]


def _roomiest(
    layouts: Sequence[_Layout], set_in: Callable[[_Layout], bytes | None]
) -> bytes | None:
    """What the first that fits makes; none where the last and narrowest does not fit either.

    What fits in one layout fits in a narrower one, so that halving finds it: each try is a
    whole typesetting.
    """
    if not layouts or not (found := set_in(layouts[-1])):
        return None
    low, high = 0, len(layouts) - 1
    while low < high:
        middle = (low + high) // 2
        if content := set_in(layouts[middle]):
            found, high = content, middle
        else:
            low = middle + 1
    return found


def _tree_can_be_read(tree: str, layout: _Layout, paper: Paper) -> bool:
    return _tree_size(tree, layout.tree_mm, _TEXT_WIDTH_MM[paper])[1] >= _SMALLEST_TREE


def compiled(
    shown: dict[str, Any], moment: datetime, place: Path, template: str = TEMPLATE.name
) -> tuple[typst.Compiler, bytes]:
    """Set in the fonts that come with the typesetter, which hold Latin, Greek and Cyrillic.

    Letters they lack are looked for among this machine's fonts, and where those lack them too,
    a question mark stands: PDF/UA allows no empty box.
    """
    text = json.dumps(shown, ensure_ascii=False)
    try:
        return _compiled_with(text, moment, place, template, has_system_fonts=False)
    except _LettersLacking:
        try:
            return _compiled_with(text, moment, place, template, has_system_fonts=True)
        except _LettersLacking as lacking:
            text = "".join("?" if letter in lacking.letters else letter for letter in text)
            return _compiled_with(text, moment, place, template, has_system_fonts=True)


class _LettersLacking(Exception):  # noqa: N818 - read aloud it says what happened
    def __init__(self, letters: set[str]) -> None:
        self.letters = letters


def _compiled_with(
    text: str, moment: datetime, place: Path, template: str, *, has_system_fonts: bool
) -> tuple[typst.Compiler, bytes]:
    (place / "facts.json").write_text(text, "utf-8")
    compiler = typst.Compiler(
        place / template,
        root=place,
        font_paths=typst.Fonts(include_system_fonts=has_system_fonts),
        ignore_system_fonts=not has_system_fonts,
    )
    try:
        content = compiler.compile(format="pdf", pdf_standards=["ua-1"], timestamp=moment)
    except typst.TypstError as error:
        lacking = re.findall(r'the text `"(.+?)"` could not be displayed', error.diagnostic)
        letters = {letter for words in lacking for letter in _unescaped(words) if letter > "\x7f"}
        if not letters:
            raise
        raise _LettersLacking(letters) from None
    assert isinstance(content, bytes)  # noqa: S101 - one PDF, for the type checker
    return compiler, content


def _unescaped(words: str) -> str:
    """Some letters stand in an error as \\u{1f41f}."""
    return re.sub(r"\\u\{([0-9a-f]+)\}", lambda found: chr(int(found[1], 16)), words)


# ------------------------------------------------------------------------------------ the words


def _facts_for_paper(facts: SheetFacts, paper: Paper) -> dict[str, Any]:
    """What the template reads: plain texts, lists and numbers."""
    animal = facts.animal
    kind = ", ".join(words for words in (animal.species, animal.strain) if words)
    code = "" if animal.code in animal.shown_name else animal.code
    day = facts.issued_on
    # What stands before the urgent words leads up to them: both go together.
    urgent = [place for place, part in enumerate(facts.cautions, 1) if part.is_urgent]
    about_stings = max(urgent, default=0)
    plain: dict[str, Any] = _breakable(
        {
            **asdict(facts),
            "title": facts.title,
            "description": f"Parents, family tree, facts and care of {animal.shown_name}",
            "issued_on": (day.year, day.month, day.day),
            "issued_on_words": f"{day.day} {_MONTHS[day.month - 1]} {day.year}",
            "paper": paper,
            "animal": {**asdict(animal), "shown_name": animal.shown_name},
            "animal_lines": [line for line in (code, animal.sex, kind) if line],
            "sires": [{**asdict(sire), "shown_name": sire.shown_name} for sire in facts.sires],
            "dam": {**asdict(facts.dam), "shown_name": facts.dam.shown_name},
            "rows": facts.rows,
            "rows_of_life": facts.rows_of_life,
            "rows_of_descent": facts.rows_of_descent,
            "has_emergency_number": facts.has_emergency_number,
            "tree": "",
            "scientific_names": [name for name in facts.scientific_names if name.strip()],
            "tree_alt": facts.tree_words or f"Family tree of {animal.shown_name}.",
            "passages": [
                *(asdict(part) for part in facts.advice),
                *(asdict(part) for part in facts.cautions[about_stings:]),
            ],
            "sting": [asdict(part) for part in facts.cautions[:about_stings] if not part.is_urgent],
            "urgent": [asdict(part) for part in facts.cautions if part.is_urgent],
        }
    )
    return plain


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, (dict, list)):
        for part in value.values() if isinstance(value, dict) else value:
            yield from _texts(part)


def _breakable(value: Any) -> Any:
    """The same with places to break in words too long for a line; they take no width."""
    if isinstance(value, str):
        plain = re.sub(r"[\x00-\x08\x0b-\x1f\x7f]", " ", value)  # no font shows these
        return re.sub(r"(\S{16})(?=\S{10})", "\\1\u200b", plain)
    if isinstance(value, dict):
        return {
            name: _breakable(part) if name != "portrait" else part for name, part in value.items()
        }
    if isinstance(value, (list, tuple)):
        return [_breakable(part) for part in value]
    return value


# --------------------------------------------------------------------------------- the pictures


def _portraits(facts: SheetFacts) -> Iterator[tuple[str, str]]:
    """Keys of the portraits that are named, each with the words for those who do not see it."""
    persons: tuple[PersonOfTree | AnimalOfSheet, ...] = (*facts.sires, facts.dam, facts.animal)
    for person in persons:
        if person.portrait:
            role = person.role if isinstance(person, PersonOfTree) else person.sex
            words = f"{person.shown_name}, {role}, from above"
            caption = person.portrait_caption
            yield person.portrait, f"{words}: {caption}." if caption else f"{words}."


def _laid_out_pictures(
    facts: SheetFacts, pictures: Mapping[str, bytes], place: Path
) -> dict[str, dict[str, str]]:
    """Write the pictures beside the template, made small; return file, words and fit by key."""
    named = {key: words for key, words in _portraits(facts) if key in pictures}
    laid_out = {}
    for number, (key, words) in enumerate(named.items()):
        small, is_near_square = _small_jpeg(
            key, pictures[key], PICTURES_TOGETHER_BYTES // len(named)
        )
        file = f"picture-{number}.jpg"
        (place / file).write_bytes(small)
        fit = "cover" if is_near_square else "contain"
        laid_out[key] = {"file": file, "alt": words, "fit": fit}
    return laid_out


def _small_jpeg(key: str, content: bytes, most_bytes: int) -> tuple[bytes, bool]:
    """A JPEG no larger than allowed, and whether filling a square would cut off little of it."""
    try:
        picture: Image.Image = Image.open(BytesIO(content), formats=("JPEG", "PNG", "WEBP"))
        picture.draft("RGB", (1600, 1600))
        picture = ImageOps.exif_transpose(picture).convert("RGB")
    except (OSError, SyntaxError, ValueError) as error:
        raise ValueError(f"The picture {key!r} cannot be read: {error}.") from None
    is_near_square = max(picture.size) <= 1.4 * min(picture.size)
    picture.info.clear()
    for side_px, quality in ((760, 84), (680, 76), (560, 68), (420, 60), (300, 50)):
        picture.thumbnail((side_px, side_px), Image.Resampling.LANCZOS)
        out = BytesIO()
        picture.save(out, "JPEG", quality=quality, optimize=True)
        if out.tell() <= most_bytes:
            break
    return out.getvalue(), is_near_square


# ------------------------------------------------------------------------------------- the tree


def _tree_for_paper(facts: SheetFacts) -> str:
    """The tree as SVG whose letters are in a font the typesetter has; empty when there is none."""
    tree = facts.tree.strip()
    if not tree:
        return ""
    if not tree.startswith("<svg"):
        tree = tree_svg.render(tree, title=facts.tree_words or "Family tree")
    return re.sub(r'font-family="[^"]*"', 'font-family="Libertinus Serif"', tree)


def _tree_size(tree: str, most_mm: float, width_mm: float) -> tuple[list[float], float]:
    """Width and height in points that fit, and their share of the natural size."""
    found = re.search(r'viewBox="\S+ \S+ ([\d.]+) ([\d.]+)"', tree)
    if not found:
        return [], 1.0
    width, height = (float(number) for number in found.groups())
    scale = min(1.0, width_mm * _POINTS_PER_MM / width, most_mm * _POINTS_PER_MM / height)
    return [round(width * scale, 2), round(height * scale, 2)], scale
