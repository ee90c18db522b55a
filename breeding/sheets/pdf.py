"""A parentage sheet as a tagged PDF of one or two pages, from its facts and pictures."""

import json
import re
import tempfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal
from urllib.parse import urlsplit

from django.utils import translation

from breeding.animals.pictures import tree_svg
from breeding.sheets.contents.facts import AnimalOfSheet, Passage, PersonOfTree, SheetFacts
from breeding.sheets.sealing.attachment import frame_digest, with_attachment
from breeding.words.days import long_day
from breeding.words.language import tell
from breeding.words.numbers import spelled

if TYPE_CHECKING:
    import typst

Paper = Literal["a4", "us-letter"]

TEMPLATE = Path(__file__).with_name("typst") / "sheet.typ"
MOST_PAGES = 2
PICTURES_TOGETHER_BYTES = 700_000  # the whole file stays under 1 MB
_POINTS_PER_MM = 72 / 25.4
_TEXT_WIDTH_MM = {"a4": 210 - 36, "us-letter": 215.9 - 36}


@dataclass(frozen=True)
class _Layout:
    """One way to lay out a sheet. Framed: page one holds the portraits and the tree, page two
    the rest; else all of it runs on."""

    pages: int
    is_framed: bool
    text_pt: float
    row_mm: float
    parent_mm: float = 30
    tree_scale: float = 0.7
    caption_pt: float = 8.5


def _steps(roomy: _Layout, dense: _Layout, number: int) -> Iterator[_Layout]:
    for step in range(number):
        share = step / (number - 1)
        sizes = {
            name: getattr(roomy, name) * (1 - share) + getattr(dense, name) * share
            for name in ("text_pt", "row_mm")
        }
        yield replace(roomy, **sizes)


# Tried from first to last; each from roomy to narrow. Page one fits itself: its portraits are as
# large as the tree leaves room for. Type shrinks only so far that it can be read.
_ONE_PAGE = tuple(_steps(_Layout(1, False, 10.2, 0.9), _Layout(1, False, 9.3, 0.65), 4))
_FRAMED = tuple(_steps(_Layout(2, True, 10.8, 1.15), _Layout(2, True, 8.6, 0.5), 12))
_RUNNING_ON = (_Layout(2, False, 8.6, 0.5),)


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
        with translation.override(facts.language):
            shown = _facts_for_paper(facts, paper)
            shown["words"] = _breakable(said_on_paper(facts, urlsplit(link).netloc))
            portraits = dict(_portraits(facts))
        shown |= {"is_sealed": seal is not None, "has_code": bool(link)}
        shown["fingerprint"] = fingerprint
        if link:
            import segno  # not loaded where no code is drawn

            segno.make(link, error="m", micro=False).save(
                str(place / "code.svg"), border=0, svgclass=None, lineclass=None
            )
        shown["pictures"] = _laid_out_pictures(portraits, pictures, place)
        content = _first_that_fits(shown, tree, paper, facts, place)
    return with_attachment(content, seal(frame_digest(content))) if seal else content


def _first_that_fits(
    shown: dict[str, Any], tree: str, paper: Paper, facts: SheetFacts, place: Path
) -> bytes:
    moment = datetime.combine(facts.issued_on, datetime.min.time(), UTC)

    size = _tree_size(tree, _TEXT_WIDTH_MM[paper])

    def set_in(layout: _Layout) -> bytes | None:
        margin = 13 if layout.pages == 1 else 15
        look = {"tree_size_pt": size, "look": {**asdict(layout), "margin_top_mm": margin}}
        compiler, content = compiled(shown | look, moment, place)
        pages = json.loads(compiler.query("<page-count>", field="value", one=True))
        return content if pages <= layout.pages else None

    for layouts in _layouts_for(shown["pictures"], tree):
        if content := _roomiest(layouts, set_in):
            return content
    longest = max(_texts(_facts_for_paper(facts, paper)), key=len)
    raise SheetTooLong(
        tell(
            "The sheet's words do not fit on {pages} pages. Shorten the longest: "
            '"{beginning}..." has {number} characters.',
            pages=MOST_PAGES,
            beginning=longest[:60],
            number=len(longest),
        )
    )


def _layouts_for(pictures: Mapping[str, Any], tree: str) -> Iterator[Sequence[_Layout]]:
    """A sheet without pictures and without a tree has nothing to frame: one page, if it fits."""
    if not pictures and not tree:
        yield _ONE_PAGE
    yield _FRAMED
    yield _RUNNING_ON


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


def compiled(
    shown: dict[str, Any], moment: datetime, place: Path, template: str = TEMPLATE.name
) -> "tuple[typst.Compiler, bytes]":
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
) -> "tuple[typst.Compiler, bytes]":
    import typst  # not loaded where no paper is set

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
    left, right = _in_two_columns(
        [*facts.advice, *facts.cautions[about_stings:]], facts.cautions[:about_stings]
    )
    plain: dict[str, Any] = _breakable(
        {
            **asdict(facts),
            "title": facts.title,
            "description": tell(
                "Parents, family tree, facts and care of {animal}", animal=animal.shown_name
            ),
            "issued_on": (day.year, day.month, day.day),
            "paper": paper,
            "animal": {**asdict(animal), "shown_name": animal.shown_name},
            "animal_lines": [", ".join(words for words in (code, animal.sex_words, kind) if words)],
            "sires": [_parent(sire) for sire in facts.sires],
            "dam": _parent(facts.dam),
            "rows": facts.rows,
            "told_left": facts.told_left,
            "told_right": facts.told_right,
            "breeder_lines": facts.breeder_lines,
            "second_page_heading": facts.second_page_heading,
            "has_emergency_number": facts.has_emergency_number,
            "tree": "",
            "scientific_names": [name for name in facts.scientific_names if name.strip()],
            "tree_alt": facts.tree_words
            or tell("Family tree of {animal}.", animal=animal.shown_name),
            "passages": [asdict(part) for part in left],
            "further": [asdict(part) for part in right],
            "sting": [asdict(part) for part in facts.cautions[:about_stings] if not part.is_urgent],
            "urgent": [asdict(part) for part in facts.cautions if part.is_urgent],
        }
    )
    return plain


def _parent(person: PersonOfTree) -> dict[str, Any]:
    said = {"shown_name": person.shown_name, "role_words": person.role_words}
    return asdict(person) | said


def said_on_paper(facts: SheetFacts, link_host: str) -> dict[str, Any]:
    """What the template itself says, in the language of the sheet."""
    day, sires = long_day(facts.issued_on), len(facts.sires)
    return {
        "foot": tell(
            "{program}, parentage sheet {number}. As the records stood on {day}.",
            program=facts.program_name,
            number=facts.sheet_number,
            day=day,
        ),
        "page": tell("page {page} of {pages}"),
        "issued": [tell("issued {day}", day=day), *facts.issuer_lines],
        "no_portrait": tell("no portrait"),
        "not_on_record": tell("not on record"),
        "one_of": tell(
            "the sire is one of these {number}", number=spelled(sires) if sires <= 6 else sires
        ),
        "key": tell(
            "Square: male. Circle: female. Diamond: sex unknown. A double line joins kin. "
            "The youngest stands lowest."
        ),
        "signed_by": tell("signed by the breeder"),
        "fact": tell("Fact"),
        "as_they_stand": tell("As the records stand"),
        "emergency_number": tell("Emergency number"),
        "write_here": tell("(write your local number here):"),
        "is_it_as_issued": tell("Is this sheet as issued?"),
        "code": tell(
            "The code leads to the issued facts at {host}: unaltered, withdrawn or replaced.",
            host=link_host,
        ),
        "signed_with": tell("The file is signed with the key"),
        "code_alt": tell(
            "QR code that leads to the issued facts of this sheet at {host}.", host=link_host
        ),
        "attached": tell("The facts of this sheet with their signature"),
    }


def _in_two_columns(
    passages: Sequence[Passage], stings: Sequence[Passage]
) -> tuple[Sequence[Passage], Sequence[Passage]]:
    """Those for the left and those that follow the words on stings on the right, evenly long."""
    lengths = [len(part.text) for part in passages]
    rest = sum(lengths) + sum(len(part.text) for part in stings)
    split = min(range(len(passages) + 1), key=lambda n: abs(rest - 2 * sum(lengths[:n])))
    return passages[:split], passages[split:]


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
            role = person.role_words if isinstance(person, PersonOfTree) else person.sex_words
            words = tell("{person}, {role}, from above", person=person.shown_name, role=role)
            caption = person.portrait_caption
            yield person.portrait, f"{words}: {caption}." if caption else f"{words}."


def _laid_out_pictures(
    portraits: Mapping[str, str], pictures: Mapping[str, bytes], place: Path
) -> dict[str, dict[str, str]]:
    """Write the pictures beside the template, made small; return file, words and fit by key."""
    named = {key: words for key, words in portraits.items() if key in pictures}
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
    from PIL import Image, ImageOps

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
        tree = tree_svg.render(tree, title=facts.tree_words or tell("Family tree"))
    return re.sub(r'font-family="[^"]*"', 'font-family="Libertinus Serif"', tree)


def _tree_size(tree: str, width_mm: float) -> list[float]:
    """Its natural width and height in points, or as wide as the paper."""
    found = re.search(r'viewBox="\S+ \S+ ([\d.]+) ([\d.]+)"', tree)
    if not found:
        return []
    width, height = (float(number) for number in found.groups())
    scale = min(1.0, width_mm * _POINTS_PER_MM / width)
    return [round(width * scale, 2), round(height * scale, 2)]
