"""Cards to scan: whom for, on which labels, and what their codes say as they are printed."""

import datetime
import shutil
import subprocess
from io import BytesIO

import pytest
import segno
from PIL import Image
from pypdf import PdfReader

from breeding.finding.cards.card import Card
from breeding.finding.cards.grids import BY_KEY, GRIDS
from breeding.finding.cards.pdf import render_cards
from breeding.housing.models import Tank
from breeding.housing.services import move_animal
from breeding.program import clock
from breeding.program.services import withdraw
from tests import cast
from tests.cast import words

pytestmark = pytest.mark.one_database("what is typeset, from a few rows")
BASE = "http://192.168.1.20:8000/"
PAGE = "/labels/"
MIRA = Card("Mira", ("LSR-003", "female"), "/go/a3")


def sheets(cards, key="a4-2x4", **more):
    facts = {"program_name": "Lantern Street Rays", "on": datetime.date(2026, 11, 29), **more}
    return render_cards(cards, BY_KEY[key], **facts)


def texts(content):
    return [page.extract_text() for page in PdfReader(BytesIO(content)).pages]


def modules_printed(content, left_mm, bottom_mm, side_mm, number, tmp_path):
    """Dark or not, at the middle of each module of a code on the first page, as it is printed."""
    (tmp_path / "cards.pdf").write_bytes(content)
    command = ["pdftoppm", "-r", "300", "-gray", "-singlefile", "cards.pdf", "page"]
    subprocess.run(command, cwd=tmp_path, check=True)
    page = Image.open(tmp_path / "page.pgm")
    mm = 300 / 25.4
    top_mm = bottom_mm - side_mm
    return [
        [
            page.getpixel(
                (
                    round((left_mm + (column + 0.5) * side_mm / number) * mm),
                    round((top_mm + (row + 0.5) * side_mm / number) * mm),
                )
            )
            < 128
            for column in range(number)
        ]
        for row in range(number)
    ]


@pytest.mark.skipif(not shutil.which("pdftoppm"), reason="needs poppler")
def test_the_code_on_paper_is_that_of_the_page_of_its_animal(tmp_path):
    grid = BY_KEY["a4-2x4"]
    content = sheets([MIRA], base=BASE, first=2)
    code = [[bool(one) for one in row] for row in segno.make(f"{BASE}go/a3", error="m").matrix]
    side = min((grid.height_mm - 12) * 0.56, 34)
    left, bottom = grid.width_mm + 6, grid.top_mm + grid.height_mm - 6
    assert modules_printed(content, left, bottom, side, len(code), tmp_path) == code
    other = [[bool(one) for one in row] for row in segno.make(f"{BASE}go/a4", error="m").matrix]
    assert modules_printed(content, left, bottom, side, len(code), tmp_path) != other


@pytest.mark.parametrize("grid", GRIDS, ids=lambda grid: grid.key)
def test_labels_lie_on_their_paper_and_so_many_on_a_sheet(grid):
    width, height = (210, 297) if grid.paper == "a4" else (215.9, 279.4)
    right = grid.left_mm + grid.columns * grid.width_mm + (grid.columns - 1) * grid.gap_mm
    assert right <= width
    assert grid.top_mm + grid.rows * grid.height_mm <= height
    full = sheets([MIRA] * grid.on_a_sheet, grid.key, base=BASE)
    assert len(texts(full)) == 1
    begun = sheets([MIRA] * grid.on_a_sheet, grid.key, base=BASE, first=2)
    assert len(texts(begun)) == 2
    box = PdfReader(BytesIO(full)).pages[0].mediabox
    assert (round(float(box.width) / 72 * 25.4), round(float(box.height) / 72 * 25.4)) == (
        round(width),
        round(height),
    )


@pytest.mark.parametrize("name", ["Mira", "Zubeneschamali", "Boat Loft", "Quarantine by the door"])
def test_a_name_on_a_large_card_is_read_at_two_metres(name):
    """Capitals of 8 mm: 34 points."""
    sizes = []
    page = PdfReader(BytesIO(sheets([Card(name, (), "/go/t1")], base=BASE))).pages[0]

    def visit(text, _matrix, position, _font, size):
        if text.strip():
            sizes.append(abs(size * position[0]))

    page.extract_text(visitor_text=visit)
    assert max(sizes) >= 34


def test_hostile_and_long_names_are_typeset_as_they_are():
    for name in ("#let x = 1", "$x$", "[*b*]", "A" * 60, "مير", "\\u{41}"):
        assert len(texts(sheets([Card(name, (name,), "/go/t1")], base=BASE))) == 1


@pytest.mark.django_db
def test_the_page_prints_those_that_are_asked_for(as_viewer, owner):
    today = clock.today()
    pool, bay = Tank.objects.create(name="Pool"), Tank.objects.create(name="Bay")
    mira, rigel = cast.female("Mira"), cast.male("Rigel")
    move_animal(mira, pool, on=today, by=None)
    withdraw(bay, by=owner, now=clock.now(), reason="given up")
    phone = {"HTTP_HOST": "localhost"}

    def printed(**asked):
        answer = as_viewer.get(PAGE, {"sheet": "a4-2x4", "first": 1, **asked}, **phone)
        assert answer.headers["Content-Type"] == "application/pdf", words(answer)
        return " ".join(texts(answer.content))

    assert "Pool" in printed(whom="tanks")
    assert "Bay" not in printed(whom="tanks")
    assert "Mira" in printed(whom="animals")
    of_tank = printed(whom="tank", tank=pool.pk)
    assert "Pool" in of_tank
    assert "Mira" in of_tank
    assert "Rigel" not in of_tank
    chosen = printed(whom="chosen", named=f"{rigel.code}\npool")
    assert "Rigel" in chosen
    assert "Pool" in chosen
    assert "Mira" not in chosen


@pytest.mark.django_db
def test_what_cannot_be_printed_is_said_beside_its_field(as_viewer, owner):
    for asked, said in (
        ({"whom": "chosen", "named": "nobody"}, "“nobody” is neither an animal nor a tank"),
        ({"whom": "chosen", "named": " , "}, "Whom? Name one."),
        ({"whom": "tank"}, "Which tank? Choose one."),
        ({"whom": "tanks"}, "There are none yet."),
        ({"whom": "tanks", "first": 9}, "A sheet has 8 labels, so there is no label 9."),
    ):
        answer = as_viewer.get(PAGE, {"sheet": "a4-2x4", "first": 1, **asked})
        assert answer.status_code == 422
        assert said in words(answer)


@pytest.mark.django_db
def test_without_an_address_that_phones_reach_there_is_no_code_and_the_page_says_so(
    as_owner, settings
):
    settings.ALLOWED_HOSTS = ["*"]
    Tank.objects.create(name="Pool")
    asked = {"whom": "tanks", "sheet": "a4-2x4", "first": 1}
    here, phone = {"HTTP_HOST": "127.0.0.1:8000"}, {"HTTP_HOST": "192.168.1.20:8000"}
    assert "is not known" in words(as_owner.get(PAGE, **here))
    assert "The codes lead to http://192.168.1.20:8000/" in words(as_owner.get(PAGE, **phone))
    assert "/go/t" not in " ".join(texts(as_owner.get(PAGE, asked, **here).content))
    assert "/go/t" in " ".join(texts(as_owner.get(PAGE, asked, **phone).content))


@pytest.mark.django_db
def test_a_scan_opens_the_page_and_signing_in_goes_on_there(as_viewer, stranger, owner):
    vega, pool = cast.female("Vega"), Tank.objects.create(name="Pool")
    assert as_viewer.get(f"/go/a{vega.pk}").url == vega.get_absolute_url()
    assert as_viewer.get(f"/go/t{pool.pk}").url == pool.get_absolute_url()
    assert as_viewer.get("/go/a999999").status_code == 404
    asked = stranger.get(f"/go/a{vega.pk}")
    assert asked.url == f"/sign-in/?next=/go/a{vega.pk}"
    sent = {"username": "jo", "password": cast.PASSWORD}
    assert stranger.post(asked.url, sent).url == f"/go/a{vega.pk}"


@pytest.mark.django_db
def test_a_card_read_into_the_field_opens_its_page(as_viewer):
    vega = cast.female("Vega")
    for typed in (f"{BASE}go/a{vega.pk}", f"https://rays.example/go/a{vega.pk}\r"):
        answer = as_viewer.get("/find/", {"q": typed}, follow=True)
        assert answer.redirect_chain[-1][0] == vega.get_absolute_url()
    elsewhere = as_viewer.get("/find/", {"q": "https://rays.example/go/a1/../../x"})
    assert elsewhere.status_code == 200


@pytest.mark.django_db
def test_pages_of_animals_and_tanks_lead_to_their_card(as_viewer):
    vega, pool = cast.female("Vega"), Tank.objects.create(name="Pool")
    assert f"{PAGE}?animal={vega.pk}" in words(as_viewer.get(vega.get_absolute_url()))
    assert f"{PAGE}?of_tank={pool.pk}" in words(as_viewer.get(pool.get_absolute_url()))
    assert vega.code in words(as_viewer.get(PAGE, {"animal": vega.pk}))
    assert "Pool" in words(as_viewer.get(PAGE, {"of_tank": pool.pk}))
    assert as_viewer.get(PAGE, {"animal": "x"}).status_code == 200
