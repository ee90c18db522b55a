"""Photographs in the tree of a sheet: whose, in what frame, and nothing that could do anything."""

import re
from base64 import b64decode
from io import BytesIO

import pytest
from PIL import Image

from breeding.sheets.contents.tree import pictured_ancestors, tree_drawing
from pedigree import Card, Pedigree

PED = Pedigree.from_rows(
    [
        ("X", "S", "D"),
        ("S", "SS", "SD"),
        ("D", "SS", "DD"),
        ("DD", None, None),
        ("SS", None, None),
        ("SD", None, None),
    ]
)
CARDS = {
    "X": Card(("Lyra",), "female"),
    "S": Card(("Deneb",), "male"),
    "D": Card(("Vega",), "female"),
    "SS": Card(("Altair",), "male", details=("wild caught",)),
    "SD": Card(("Spica",), "female"),
    "DD": Card(("Izar",), None),
}


def picture(colour="black"):
    out = BytesIO()
    Image.new("RGB", (300, 200), colour).save(out, "JPEG")
    return out.getvalue()


def drawn(pictures, generations=3):
    return tree_drawing(
        PED, "X", generations=generations, cards=CARDS, pictures=pictures, words="Tree of Lyra"
    )


def test_grandparents_are_pictured_and_a_common_one_once():
    assert pictured_ancestors(PED, "X", 3) == ("SS", "SD", "DD")


def test_parents_and_the_animal_have_their_portraits_above_the_tree():
    assert not {"X", "S", "D"} & set(pictured_ancestors(PED, "X", 5))


def test_a_generation_of_more_than_six_has_no_room_for_pictures():
    rows = [("X", "p1", "p2")]
    rows += [(f"p{n}", f"g{2 * n - 1}", f"g{2 * n}") for n in (1, 2)]
    rows += [(f"g{n}", f"h{2 * n - 1}", f"h{2 * n}") for n in (1, 2, 3, 4)]
    rows += [(f"h{n}", None, None) for n in range(1, 9)]
    ped = Pedigree.from_rows(rows)
    assert pictured_ancestors(ped, "X", 3) == ("g1", "g2", "g3", "g4")


def test_a_male_stands_in_a_square_a_female_in_a_circle_and_one_of_unknown_sex_in_a_diamond():
    """Shapes of the pedigree standard: Bennett et al. 2008, J Genet Couns 17:424-433."""
    tree = drawn({"SS": picture(), "SD": picture(), "DD": picture()})
    assert tree.count("<image") == 3
    frames = re.findall(r'<(\w+)[^>]* class="frame"', tree)
    assert frames == ["circle", "rect", "circle", "circle", "rect", "polygon"]
    assert "Altair" in tree
    assert "wild caught" in tree


def test_outside_the_circle_the_picture_is_the_white_of_the_paper():
    tree = drawn({"SD": picture()})
    (content,) = re.findall(r"base64,([A-Za-z0-9+/=]+)", tree)
    shown = Image.open(BytesIO(b64decode(content)))
    width, height = shown.size
    assert min(shown.getpixel((1, 1))) > 240
    assert max(shown.getpixel((width // 2, height // 2))) < 16


def test_no_two_pictures_lie_on_each_other():
    tree = drawn({"SS": picture(), "SD": picture(), "DD": picture()})
    found = [
        (float(x), float(y), float(side))
        for x, y, side in re.findall(
            r'<image[^>]* x="([-\d.]+)" y="([-\d.]+)" width="([\d.]+)"', tree
        )
    ]
    assert len(found) == 3
    for n, (x, y, side) in enumerate(found):
        for other_x, other_y, _ in found[n + 1 :]:
            assert abs(x - other_x) >= side or abs(y - other_y) >= side


def test_a_tree_without_pictures_is_the_plain_tree():
    tree = drawn({})
    assert "<image" not in tree
    assert "Altair" in tree


@pytest.mark.parametrize("generations", [3, 4, 5])
def test_the_drawing_holds_nothing_active(generations):
    tree = drawn({"SS": picture()}, generations)
    assert not re.search(r"<script|\son\w+=|foreignObject|javascript:", tree)
    assert re.findall(r'href="([^"]{0,22})', tree) == ["data:image/jpeg;base64"]
