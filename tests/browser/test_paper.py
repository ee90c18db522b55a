"""What the browser prints of drawn pages, and a family walked with the arrow keys."""

import datetime
import io

import pytest
from django.utils import timezone
from pypdf import PdfReader

from breeding.pairings.species_file import load_species
from breeding.program import services
from tests import cast

pytestmark = pytest.mark.django_db(transaction=True)
KEY_COLOURS = """() => [...document.querySelectorAll('.key .k')].map(one => {
    const drawn = getComputedStyle(one)
    return drawn.borderTopWidth !== '0px' || drawn.borderLeftWidth !== '0px'
})"""


@pytest.fixture
def keeper_of(page):
    """A keeper, signed in by a one-time link."""
    load_species()
    cast.the_program()
    keeper = cast.owner()
    token = services.make_sign_in_link(
        keeper, now=timezone.now(), good_for=datetime.timedelta(hours=1)
    )
    page.goto(f"/link/{token}/")
    page.get_by_role("button", name="Sign in as").click()
    page.wait_for_load_state()
    return page


def printed(page):
    """As the browser prints without background graphics."""
    content = page.pdf(format="A4", prefer_css_page_size=True, print_background=False)
    return PdfReader(io.BytesIO(content))


def test_season_prints_across_with_a_break_between_females_and_none_within(keeper_of):
    names = [f"Ray{letter}" for letter in "ABCDEFG"]
    for name in names:
        female, male = cast.female(name, pure="motoro"), cast.male(f"With{name}")
        cast.pair(female, male, 30)
    keeper_of.goto("/pairings/season/?all=1")
    reader = printed(keeper_of)
    for sheet in reader.pages:
        assert sheet.mediabox.width > sheet.mediabox.height
    texts = [" ".join(sheet.extract_text().split()) for sheet in reader.pages]
    assert "The season" in texts[0]
    assert names[0] in texts[0]  # no title by itself, no empty frame
    drawn = "".join(texts).split("In words")[0]
    for name in names:
        (sheet,) = (text for text in texts if f"With{name}" in text)
        assert name in sheet.replace(f"With{name}", "")
        assert drawn.count(f"With{name}") == 1
    keeper_of.emulate_media(media="print")
    assert keeper_of.evaluate(KEY_COLOURS) == [True] * 5


def test_a_family_is_walked_with_the_arrow_keys(keeper_of):
    sire, dam = cast.male("Deneb"), cast.female("Vega")
    born = cast.day("2020-05-01")
    lyra = cast.female("Lyra", sire=sire, dam=dam, born_on=born)
    cast.male("Izar", sire=sire, dam=dam, born_on=born)

    def here():
        return keeper_of.evaluate("document.activeElement.getAttribute('href')")

    keeper_of.goto(f"/animals/{lyra.pk}/family/")
    keeper_of.keyboard.press("ArrowDown")
    assert here() == f"/animals/{lyra.pk}/"  # the one in the middle leads to its own page
    keeper_of.keyboard.press("ArrowUp")
    assert here() in {f"/animals/{one.pk}/family/" for one in (sire, dam)}
    keeper_of.keyboard.press("ArrowLeft")
    assert here() == f"/animals/{sire.pk}/family/"
    keeper_of.keyboard.press("ArrowRight")
    assert here() == f"/animals/{dam.pk}/family/"
    keeper_of.keyboard.press("Enter")
    keeper_of.get_by_role("heading", name="The family of Vega").wait_for()
