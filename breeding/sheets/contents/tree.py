"""The family tree of a sheet, with photographs in the nodes of the grandparents and beyond."""

import base64
import math
import re
from collections.abc import Mapping
from io import BytesIO
from typing import Any

from breeding.animals.models import Photograph
from breeding.animals.pictures.family_drawing import PAPER, FamilyDrawing
from breeding.animals.pictures.family_layout import Missing, lay_out
from breeding.animals.pictures.tree_svg import TreeNotDrawn, render
from breeding.animals.pictures.trees import possible_shares, tree_words
from pedigree import Card, Pedigree, family_tree

PICTURE_POINTS = 42
PICTURE_PX = 176  # 300 to the inch on paper
LINE_POINTS = 12.2
MOST_COLUMNS = 8  # portraits side by side on paper
MOST_IN_A_GENERATION = 6  # more of them stand on two levels, where pictures would find no room
INK = "#22302f"


def pictured_ancestors(ped: Pedigree, animal: Any, generations: int) -> tuple[Any, ...]:
    """Whom a crowded tree may show a picture of: from the grandparents on, where there is room.

    The animal and its parents have large portraits above the tree.
    """
    level, seen, found = [animal], {animal}, []
    for generation in range(1, generations + 1):
        above = []
        for young in level:
            dam = ped.dam(young)
            above += [*ped.sires(young), *([] if dam is None else [dam])]
        level = [one for one in dict.fromkeys(above) if one not in seen]
        seen.update(level)
        if generation > 1 and len(level) <= MOST_IN_A_GENERATION:
            found += level
    return tuple(found)


def shown_in_tree(ped: Pedigree, animal: Any, generations: int) -> tuple[Any, ...]:
    """Whose pictures the tree shows: everybody's, or in a crowded one the grandparents'."""
    layout = lay_out(ped, animal, generations)
    if layout.columns > MOST_COLUMNS:
        return pictured_ancestors(ped, animal, generations)
    return tuple(one for one in layout.places if not isinstance(one, Missing))


def read_small_pictures(animals: Mapping[Any, Photograph | None]) -> dict[Any, bytes]:
    """The small picture of each animal that has one and whose file is there."""
    found = {}
    for animal, photograph in animals.items():
        if photograph is None:
            continue
        try:
            with photograph.thumbnail.open("rb") as file:
                found[animal] = file.read()
        except (OSError, ValueError):
            continue
    return found


def tree_drawing(
    ped: Pedigree,
    animal: Any,
    *,
    generations: int,
    cards: Mapping[Any, Card],
    pictures: Mapping[Any, bytes],
    words: str,
) -> str:
    """SVG text of the tree; empty when it cannot be drawn, and its words stand in its place.

    A male stands in a square frame and a female in a round one, after the pedigree standard
    (Bennett et al. 2008, J Genet Couns 17:424-433); their words stand below. A tree of more
    columns than the paper has is drawn by graphviz, which packs names without pictures.
    """
    layout = lay_out(ped, animal, generations)
    if layout.columns <= MOST_COLUMNS:
        return FamilyDrawing(
            layout,
            cards=cards,
            pictures={one: _embedded(small, cards[one].sex) for one, small in pictures.items()},
            shares=possible_shares(layout, ped),
            measures=PAPER,
        ).svg(words)
    return _packed_drawing(ped, animal, generations, cards, pictures, words)


def _packed_drawing(
    ped: Pedigree,
    animal: Any,
    generations: int,
    cards: Mapping[Any, Card],
    pictures: Mapping[Any, bytes],
    words: str,
) -> str:
    dot = family_tree(ped, animal, generations=generations, cards=cards, words=tree_words())
    roomy = [_room(ped, one, cards[one]) for one in pictures]
    try:
        drawn = render("".join([dot.rstrip().removesuffix("}"), *roomy, "}\n"]), title=words)
    except TreeNotDrawn:
        return ""
    for one, picture in pictures.items():
        drawn = _with_picture(drawn, _node(ped, one), cards[one].sex, picture)
    return drawn


def _node(ped: Pedigree, animal: Any) -> str:
    """The name of its node: `family_tree` names them by row."""
    return f"a{ped.row(animal) + 1}"


def _room(ped: Pedigree, animal: Any, card: Card) -> str:
    """A later statement about a node adds to the earlier one: room for a picture over the words."""
    lines = len(card.lines) + len(card.details)
    height = (PICTURE_POINTS + 4 + LINE_POINTS * lines) / 72
    return (
        f'\t{_node(ped, animal)} [shape=box labelloc=b margin="0.03,0.01" height={height:.3f} '
        f"width={(PICTURE_POINTS + 4) / 72:.3f}]\n"
    )


def _with_picture(drawn: str, node: str, sex: str | None, picture: bytes) -> str:
    """Put the picture where the outline of the node was."""
    outline = re.search(
        rf'<g\b[^>]*\bid="tree-{node}"[^>]*>(?:<g\b[^>]*>)?'
        r'(<polygon\b[^>]*?\bpoints="([^"]*)"[^>]*/>)',
        drawn,
    )
    if outline is None:
        return drawn
    corners = [point.split(",") for point in outline[2].split()]
    left, right = (f(float(x) for x, _ in corners) for f in (min, max))
    top = min(float(y) for _, y in corners)
    side = PICTURE_POINTS
    middle = (left + right) / 2
    x, y = middle - side / 2, top + 0.5
    framed = _picture_element(picture, sex, x, y, side)
    return drawn[: outline.start(1)] + framed + drawn[outline.end(1) :]


def _embedded(picture: bytes, sex: str | None) -> str:
    """The picture as an address that needs no file."""
    return f"data:image/jpeg;base64,{base64.b64encode(_node_jpeg(picture, sex)).decode()}"


def _picture_element(picture: bytes, sex: str | None, x: float, y: float, side: float) -> str:
    is_round = sex == "female"
    image = (
        f'<image href="{_embedded(picture, sex)}" x="{x:.2f}" y="{y:.2f}" '
        f'width="{side:.2f}" height="{side:.2f}" />'
    )
    line = f'fill="none" stroke="{INK}" stroke-width="1"'
    if is_round:
        half = side / 2
        frame = f'<circle {line} cx="{x + half:.2f}" cy="{y + half:.2f}" r="{half:.2f}" />'
    elif sex is None:
        half = side / 2
        points = f"{x + half:.2f},{y:.2f} {x + side:.2f},{y + half:.2f} "
        points += f"{x + half:.2f},{y + side:.2f} {x:.2f},{y + half:.2f}"
        frame = f'<polygon {line} points="{points}" />'
    else:
        frame = f'<rect {line} x="{x:.2f}" y="{y:.2f}" width="{side:.2f}" height="{side:.2f}" />'
    return image + frame


def _node_jpeg(picture: bytes, sex: str | None) -> bytes:
    """A small square picture, white outside the circle or the diamond; no metadata."""
    from PIL import Image, ImageChops, ImageDraw, ImageOps

    opened: Image.Image = Image.open(BytesIO(picture), formats=("JPEG", "PNG", "WEBP"))
    square = ImageOps.fit(opened.convert("RGB"), (PICTURE_PX, PICTURE_PX))
    square.info.clear()
    mask = Image.new("L", square.size, 255)
    if sex != "male":
        large = Image.new("L", (PICTURE_PX * 4, PICTURE_PX * 4), 0)
        pen, end = ImageDraw.Draw(large), PICTURE_PX * 4 - 1
        if sex == "female":
            pen.ellipse((0, 0, end, end), fill=255)
        else:
            half = math.floor(end / 2)
            pen.polygon([(half, 0), (end, half), (half, end), (0, half)], fill=255)
        mask = large.resize(square.size, Image.Resampling.LANCZOS)
    square.paste("white", mask=ImageChops.invert(mask))
    out = BytesIO()
    square.save(out, "JPEG", quality=72, optimize=True)
    return out.getvalue()
