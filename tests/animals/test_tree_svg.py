"""A family tree comes out as safe SVG, drawn by either of the two drawers."""

import os
import shutil
from xml.etree import ElementTree

import pytest

from breeding.animals.pictures import tree_svg
from breeding.animals.pictures.tree_svg import TreeNotDrawn, render

pytestmark = pytest.mark.one_database("drawing of facts that are read already")

SVG = "{http://www.w3.org/2000/svg}"
FAMILY = """graph {
  bgcolor=transparent
  a1 [label="Rigel\\nwild caught" shape=box URL="/animals/1" tooltip="Rigel, sire"]
  a2 [label="Spica <b> & \\"co\\"" shape=ellipse]
  a3 [label="Vega" shape=ellipse penwidth=2]
  a1 -- u0; a2 -- u0 [color="black:black"]; u0 -- a3
  u0 [shape=point]
}"""


@pytest.fixture(params=["binary", "module"])
def drawer(request):
    if request.param == "binary" and shutil.which("dot") is None:
        if "dot" in os.environ.get("RAYWARD_REQUIRE", "").split():
            pytest.fail("RAYWARD_REQUIRE asks for the dot program and there is none on the PATH.")
        print("left out: there is no dot program on the PATH")
        pytest.skip("there is no dot program on the PATH")
    return request.param


def drawn(dot, drawer, **more):
    text = render(dot, title="Family of Vega", drawer=drawer, **more)
    return text, ElementTree.fromstring(text)


def test_every_name_of_the_family_stands_in_the_drawing(drawer):
    _, tree = drawn(FAMILY, drawer)
    words = [part.text for part in tree.iter(f"{SVG}text")]
    assert words == ["Rigel", "wild caught", 'Spica <b> & "co"', "Vega"]


def test_the_drawing_is_one_svg_element_without_prolog(drawer):
    text, tree = drawn(FAMILY, drawer)
    assert text.startswith("<svg ")
    assert text.endswith("</svg>")
    assert tree.tag == f"{SVG}svg"
    assert "<!" not in text
    assert "<?" not in text


def test_the_size_is_a_view_box_and_a_largest_width_in_pixels(drawer):
    _, tree = drawn(FAMILY, drawer)
    points = float(tree.get("viewBox").split()[2])
    pixels = round(points * 4 / 3)  # 72 points and 96 pixels an inch
    assert tree.get("style") == f"width:100%;max-width:{pixels}px;height:auto"
    assert tree.get("width") is None
    assert tree.get("height") is None
    assert tree.get("class") == "family-tree"


def test_the_drawing_says_in_words_what_it_shows(drawer):
    _, tree = drawn("graph { a }", drawer)
    heading = tree[0]
    assert (heading.tag, heading.text) == (f"{SVG}title", "Family of Vega")
    assert tree.get("aria-labelledby") == heading.get("id")
    assert tree.get("role") == "img"


def test_a_drawing_with_links_stays_open_to_screen_readers(drawer):
    _, tree = drawn(FAMILY, drawer)
    assert tree.get("role") == "group"
    (link,) = tree.iter(f"{SVG}a")
    assert link.get("href") == "/animals/1"
    assert link[0].text == "Rigel, sire"


def test_row_ids_are_not_shown_as_titles(drawer):
    _, tree = drawn(FAMILY, drawer)
    assert [part.text for part in tree.iter(f"{SVG}title")] == ["Family of Vega", "Rigel, sire"]


def test_ids_carry_the_prefix_and_never_repeat(drawer):
    _, tree = drawn('graph { a [id="x y"]; b [id="x-y"]; c [id="title"] }', drawer, prefix="t7")
    ids = [part.get("id") for part in tree.iter() if part.get("id")]
    assert len(ids) == len(set(ids))
    assert all(one.startswith("t7-") for one in ids)
    assert "t7-x-y" in ids
    assert "t7-x-y-2" in ids


@pytest.mark.parametrize(
    "address",
    [
        "javascript:alert(1)",
        "JaVaScRiPt:alert(1)",
        "data:text/html;base64,PHNjcmlwdD4=",
        "//elsewhere.example/a",
        "/\\\\elsewhere.example/a",
        "https://elsewhere.example/",
        "animals/1",
        "/ javascript:alert(1)",
    ],
)
def test_only_links_to_this_site_survive(address, drawer):
    text, tree = drawn(f'graph {{ a [label="Vega" URL="{address}"] }}', drawer)
    assert list(tree.iter(f"{SVG}a")) == []
    assert "href" not in text
    assert [part.text for part in tree.iter(f"{SVG}text")] == ["Vega"]


def test_script_in_a_label_stays_words(drawer):
    text, tree = drawn('graph { a [label="<script>alert(1)</script>"] }', drawer)
    assert "<script" not in text
    assert [part.text for part in tree.iter(f"{SVG}text")] == ["<script>alert(1)</script>"]


def test_nothing_active_comes_through_even_from_a_hostile_drawing():
    hostile = b"""<svg xmlns="http://www.w3.org/2000/svg" xmlns:h="http://www.w3.org/1999/xhtml"
      xmlns:xlink="http://www.w3.org/1999/xlink" viewBox="0 0 9 9" onload="alert(1)">
      <script>alert(1)</script><style>@import "//elsewhere.example"</style>
      <foreignObject><h:body onload="alert(1)"/></foreignObject><h:script>alert(1)</h:script>
      <animate attributeName="href" to="javascript:alert(1)"/><set onbegin="alert(1)"/>
      <use href="//elsewhere.example/x.svg#a"/><iframe src="//elsewhere.example"/>
      <image xlink:href="https://elsewhere.example/spy.png"/>
      <image xlink:href="data:image/svg+xml;base64,AAAA"/>
      <image xlink:href="/files/vega.jpg" width="9" height="9" onerror="alert(1)"/>
      <g onclick="alert(1)" style="behavior:url(x)" fill="url(//elsewhere.example)">
        <a xlink:href="/animals/1" onfocus="alert(1)" ping="//elsewhere.example"><text>V</text></a>
        <text ONMOUSEOVER="alert(1)">kept<script>no</script></text></g></svg>"""
    tree = ElementTree.fromstring(tree_svg._for_a_page(hostile, "Family", "t", "family-tree"))
    assert [part.tag.removeprefix(SVG) for part in tree.iter()] == [
        *("svg", "title", "image", "g", "a", "text", "text")
    ]
    attributes = {name for part in tree.iter() for name in part.attrib}
    assert attributes == {
        *("class", "viewBox", "style", "width", "height", "aria-labelledby", "role", "id", "href"),
        "preserveAspectRatio",
    }
    addresses = [part.get("href") for part in tree.iter() if part.get("href")]
    assert tree.get("style").startswith("width:100%")
    assert tree.find(f"{SVG}g").get("style") is None
    assert addresses == ["/files/vega.jpg", "/animals/1"]


def test_text_that_is_no_dot_is_a_clear_error(drawer):
    with pytest.raises(TreeNotDrawn, match="could not be drawn"):
        render("graph { a -- ", title="Family of Vega", drawer=drawer)


def test_a_good_tree_is_drawn_after_a_bad_one(drawer):
    with pytest.raises(TreeNotDrawn):
        render("graph { b -- ", title="Family of Vega", drawer=drawer)
    _, tree = drawn("graph { a -- b }", drawer)
    assert [part.text for part in tree.iter(f"{SVG}text")] == ["a", "b"]


def test_a_tree_longer_than_allowed_is_refused():
    with pytest.raises(TreeNotDrawn, match=r"300,011 characters, at most 300,000"):
        render("graph {/*" + "x" * 300_000 + "*/", title="Family of Vega")


def test_a_drawing_that_takes_too_long_is_stopped(drawer, monkeypatch):
    render("graph { a }", title="Family of Vega", drawer=drawer)  # compiled before the clock runs
    monkeypatch.setattr(tree_svg, "LONGEST_SECONDS", 0.2)
    edges = "".join(f"n{i}--n{(i * 7 + j * 13) % 600};" for i in range(600) for j in range(6))
    with pytest.raises(TreeNotDrawn, match=r"more than 0\.2 seconds"):
        render("graph {" + edges + "}", title="Family of Vega", drawer=drawer)


def test_a_drawing_larger_than_allowed_is_refused(drawer, monkeypatch):
    monkeypatch.setattr(tree_svg, "LONGEST_SVG_BYTES", 500)
    with pytest.raises(TreeNotDrawn, match="at most 500"):
        render("graph { large -- tree }", title="Family of Vega", drawer=drawer)


def test_without_the_program_the_module_draws(monkeypatch, tmp_path):
    monkeypatch.setenv("PATH", str(tmp_path))
    tree = ElementTree.fromstring(render("graph { no -- program }", title="Family of Vega"))
    assert [part.text for part in tree.iter(f"{SVG}text")] == ["no", "program"]
    with pytest.raises(TreeNotDrawn, match="no program called dot"):
        render("graph { no -- program }", title="Family of Vega", drawer="binary")


def test_the_same_text_is_drawn_once(monkeypatch):
    times = []
    monkeypatch.setattr(
        tree_svg, "_draw_with_module", lambda dot: times.append(dot) or b"<svg viewBox='0 0 9 9'/>"
    )
    for _ in range(3):
        render("graph { drawn -- once }", title="Family of Vega", drawer="module")
    assert times == ["graph { drawn -- once }"]


@pytest.mark.parametrize(("title", "prefix"), [(" ", "tree"), ("Family", "7"), ("Family", 'a" b')])
def test_a_tree_without_title_or_with_an_odd_prefix_is_refused(title, prefix):
    with pytest.raises(ValueError, match=r"title|prefix"):
        render("graph { a }", title=title, prefix=prefix)
