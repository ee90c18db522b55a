"""The sales page of a litter: what a stranger sees, and above all what a stranger never sees."""

import re
from decimal import Decimal
from fractions import Fraction
from io import BytesIO

import pytest
import time_machine
from django.core.exceptions import ValidationError
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import translation
from PIL import Image

from benchmarks.started import forget_everything
from breeding.animals import services as animals
from breeding.animals.species.listings import law_words
from breeding.buyers import hand_overs, services
from breeding.offers import sales
from breeding.offers.models import SalesLink, SalesPage
from breeding.program import clock
from breeding.program.services import withdraw
from breeding.sheets import services as sheet_services
from breeding.sheets.shared import links as sheet_links
from tests import cast
from tests.buyers.litters import TODAY, litter_of, picture, pup

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _today():
    with time_machine.travel("2026-11-25 12:00:00Z", tick=False):
        yield


@pytest.fixture
def litter(owner):
    dam = cast.female("Vega", pure="leopoldi", note="bites, cost 900 EUR")
    sire = cast.male("Deneb", pure="leopoldi")
    found = litter_of(dam, sire)
    found.note = "litter note"
    found.save()
    for one in (dam, sire, pup(found, "Alya")):
        animals.add_photograph(one, picture(), by=None, taken_on=TODAY)
    return found


@pytest.fixture
def page(litter, owner):
    made = sales.change_sales_page(
        litter, by=owner, pups=litter.pups.all(), words="Raised on worms."
    )
    sheet_links.renew_link(made, by=owner, now=clock.now())
    return made


def address(page):
    return reverse("offers:offer", args=[sheet_links.link_of(page).token])


def seen(page):
    answer = Client().get(address(page))
    assert answer.status_code == 200
    return answer.content.decode()


def quiet():
    return Client().get(reverse("offers:offer", args=["x"])).content


# --------------------------------------------------------------------------------- what it shows


def test_offer_shows_free_pups_parents_and_honest_words(page, stranger):
    said = seen(page)
    for words in (
        "Raised on worms.",
        "Alya",
        "disc width 16.0 cm",
        "Deneb",
        "Vega",
        "Potamotrygon leopoldi",
        "0 %",
        "Cannot leave yet: 1 cm more disc width",
        "nobody can promise",
        "no portrait yet",
        "Nothing here says that anything is allowed",
    ):
        assert words in said


def test_only_chosen_pups_are_shown(page, litter, owner):
    sales.change_sales_page(litter, by=owner, pups=litter.pups.filter(number=1))
    said = seen(page)
    assert "Alya" in said
    assert "Botein" not in said


def test_a_reserved_pup_vanishes_at_once_and_returns_when_let_go(page, litter, owner):
    kim = services.add_contact(by=owner, name="Kim Lund")
    kept = services.reserve_animal(pup(litter, "Alya"), kim, by=owner, on=TODAY)
    picture_address = address(page) + "pup-1/"
    assert "Alya" not in seen(page)
    assert Client().get(picture_address).status_code == 404
    withdraw(kept, by=owner, now=clock.now(), reason="changed their mind")
    assert "Alya" in seen(page)
    assert Client().get(picture_address).status_code == 200


@pytest.mark.parametrize("state", ["left", "died", "on_loan"])
def test_a_pup_that_is_not_here_vanishes_at_once(page, litter, state):
    animals.change_state(pup(litter, "Alya"), state=state, on=TODAY)
    assert "Alya" not in seen(page)


def test_when_all_are_gone_the_page_says_so_and_names_nobody(page, litter):
    for one in litter.pups.all():
        animals.change_state(one.animal, state="left", on=TODAY)
    said = seen(page)
    assert "None of this litter is free now" in said
    for name in ("Alya", "Vega", "Deneb"):
        assert name not in said
    assert Client().get(address(page) + "dam/").status_code == 404


def test_an_uncertain_sire_and_an_unknown_one_are_said(owner):
    one, other = cast.male("Deneb", pure="motoro"), cast.male("Rigel", pure="motoro")
    half = Fraction(1, 2)
    found = litter_of(cast.female("Vega"), possible_sires=((one, half), (other, half)))
    made = sales.change_sales_page(found, by=owner, pups=found.pups.all())
    sheet_links.renew_link(made, by=owner, now=clock.now())
    said = seen(made)
    assert said.count("Possible sire, 50 %") == 2
    unknown = litter_of(cast.female("Mira"), widths=(150,), sexes="F")
    made = sales.change_sales_page(unknown, by=owner, pups=unknown.pups.all())
    sheet_links.renew_link(made, by=owner, now=clock.now())
    said = seen(made)
    assert "not on record" in said
    assert "cannot be told while the sire is unknown" in said


# ---------------------------------------------------------------------------- what it never shows


def test_it_shows_nothing_of_buyers_prices_reach_notes_or_people(page, litter, owner, keeper):
    kim = services.add_contact(
        by=owner, name="Kim Lund", reach="kim@example.org", wish="a cheap pair"
    )
    services.reserve_animal(
        pup(litter, "Botein"),
        kim,
        by=owner,
        on=TODAY,
        note="pays on Friday",
        deposit=Decimal("123.45"),
        deposit_currency="EUR",
    )
    hand_overs.hand_over(
        pup(litter, "Chara"),
        kim,
        by=owner,
        program=cast.the_program(),
        on=TODAY,
        today=TODAY,
        transport="courier",
        price=Decimal("987.65"),
        currency="EUR",
        permit_number="PERMIT-7",
        has_read_cautions=True,
    )
    said = seen(page).replace(address(page), "")  # letters drawn anew: "Jo" can be among them
    for words in (
        "Kim",
        "Lund",
        "example.org",
        "cheap",
        "Friday",
        "123.45",
        "987.65",
        "EUR",
        "PERMIT-7",
        "bites",
        "litter note",
        "Botein",
        "Chara",
        "Jo",
        "Sam",
        "csrf",
        "/animals/",
        "sign-in",
        "<script",
    ):
        assert words not in said, words


def test_it_refers_to_nothing_but_its_own_link(page):
    found = re.findall(r'(?:src|href)="([^"]+)"', seen(page))
    assert found
    assert all(one.startswith(address(page)) or one == "data:," for one in found)


def test_its_pictures_carry_nothing_but_the_picture(page):
    for role in ("sire-1", "dam", "pup-1"):
        answer = Client().get(f"{address(page)}{role}/")
        shown = Image.open(BytesIO(answer.content))
        assert max(shown.size) <= 440
        assert not shown.getexif()
        assert b"Nobody" not in answer.content
        assert len(answer.content) < 60_000


def test_it_is_not_indexed_and_tells_no_other_site(page):
    for answer in (
        Client().get(address(page)),
        Client().get(address(page) + "dam/"),
        Client().get(reverse("offers:offer", args=["x"])),
    ):
        assert "noindex" in answer["X-Robots-Tag"]
        assert answer["Referrer-Policy"] == "no-referrer"
        assert answer["Cache-Control"] == "private, no-store"


def test_the_page_is_small_and_sets_no_cookie(page):
    answer = Client().get(address(page), headers={"accept-encoding": "gzip"})
    assert answer["Content-Encoding"] == "gzip"
    assert len(answer.content) < 8_000
    assert not answer.cookies


# -------------------------------------------------------------------------------------- the link


def test_every_link_that_leads_nowhere_gets_the_same_quiet_page(page, litter, owner):
    good = sheet_links.link_of(page).token
    sheet_links.renew_link(page, by=owner, now=clock.now(), last_day=TODAY)
    run_out = sheet_links.link_of(page).token
    with time_machine.travel("2026-11-26 12:00:00Z", tick=False):
        tried = [
            good,  # renewed
            run_out,
            run_out[:-1] + ("A" if run_out[-1] != "A" else "B"),
            "x" * 22,
            "0",
            "é" * 10,
        ]
        for token in tried:
            for route, more in (("offers:offer", []), ("offers:picture", ["dam"])):
                answer = Client().get(reverse(route, args=[token, *more]))
                assert (answer.status_code, answer.content) == (404, quiet())
    sheet_links.close_link(page, now=clock.now())
    assert Client().get(reverse("offers:offer", args=[run_out])).content == quiet()


def test_a_withdrawn_litter_is_offered_to_nobody(page, litter, owner):
    withdraw(litter, by=owner, now=clock.now(), reason="written down twice")
    assert Client().get(address(page)).content == quiet()


def test_a_sheets_link_opens_no_sales_page_and_the_reverse(page, litter, owner):
    sheet = sheet_services.issue_sheet(pup(litter, "Alya"), by=owner, on=TODAY)
    of_sheet, of_page = sheet_links.link_of(sheet).token, sheet_links.link_of(page).token
    assert Client().get(reverse("offers:offer", args=[of_sheet])).status_code == 404
    assert Client().get(reverse("sheets:shared", args=[of_page])).status_code == 404


def test_a_picture_of_another_animal_is_not_reached_through_the_page(page):
    for role in ("pup-2", "pup-99", "sire-2", "animal", "1", "..", "tree"):
        assert Client().get(f"{address(page)}{role}/").status_code == 404


def test_a_token_has_128_bits_and_the_database_finds_it_by_its_hash(page):
    link = SalesLink.objects.get()
    assert len(link.token) == 22  # 16 bytes in base64 without padding
    assert link.token not in link.token_hash


def test_nothing_can_be_posted_to_it(page):
    assert Client().post(address(page)).status_code == 405


def test_ten_more_pups_ask_no_more(owner):
    forget_everything()  # what another test has kept is looked at with a question each

    def queries(widths):
        found = litter_of(cast.female(), cast.male(), widths=widths, sexes="F" * len(widths))
        made = sales.change_sales_page(found, by=owner, pups=found.pups.all())
        sheet_links.renew_link(made, by=owner, now=clock.now())
        Client().get(address(made))
        with CaptureQueriesContext(connection) as asked:
            Client().get(address(made))
        return len(asked)

    few = queries((150,) * 2)
    assert queries((150,) * 12) == few
    assert few < 40


# --------------------------------------------------------------------------------- keepers' page


def test_sales_chooses_pups_makes_a_link_and_closes_it(litter, as_keeper):
    place = reverse("offers:sales", args=[litter.pk])
    assert "Save the page first" in as_keeper.get(place).content.decode()
    one = litter.pups.get(number=1)
    as_keeper.post(place, {"save": "1", "pups": [one.pk], "words": "Hello"})
    made = SalesPage.objects.get(litter=litter)
    assert list(made.pups.all()) == [one]
    as_keeper.post(place, {"renew": "1", "last_day": "2026-12-24"})
    link = sheet_links.link_of(made)
    assert link.last_day == cast.day("2026-12-24")
    assert link.token in as_keeper.get(place).content.decode()
    said = as_keeper.post(place, {"end": "1", "last_day": "2026-11-24"}).content.decode()
    assert "24 November 2026 is past" in said
    said = as_keeper.post(place, {"renew": "1", "last_day": "2026-11-24"}).content.decode()
    assert "This day is past" in said
    as_keeper.post(place, {"close": "1"})
    assert sheet_links.link_of(made) is None


def test_a_pup_of_another_litter_or_a_dead_one_is_refused(litter, owner, as_keeper):
    other = litter_of(cast.female("Mira"), widths=(150,), sexes="F")
    with pytest.raises(ValidationError, match="is no living pup of litter"):
        sales.change_sales_page(litter, by=owner, pups=other.pups.all())
    place = reverse("offers:sales", args=[litter.pk])
    answer = as_keeper.post(place, {"save": "1", "pups": [other.pups.get().pk]})
    assert "errorlist" in answer.content.decode()
    assert not SalesPage.objects.exists()


def test_sales_is_closed_to_viewers_and_strangers(litter, as_viewer, stranger):
    place = reverse("offers:sales", args=[litter.pk])
    assert as_viewer.get(place).status_code == 403
    assert stranger.get(place).status_code == 302


def test_words_typed_as_markup_stay_words(litter, owner, page):
    sales.change_sales_page(
        litter, by=owner, pups=litter.pups.all(), words="<img src=x onerror=alert(1)>"
    )
    assert "<img src=x" not in seen(page)


def test_sales_says_which_pups_are_kept_for_somebody(litter, owner, as_keeper):
    ada = services.add_contact(by=owner, name="Ada Berg")
    services.reserve_animal(pup(litter, "Alya"), ada, by=owner, on=TODAY)
    said = as_keeper.get(reverse("offers:sales", args=[litter.pk])).content.decode()
    assert "female, reserved for somebody" in said
    assert "male, here" in said


def test_the_law_says_nothing_twice_and_speaks_of_no_sheet():
    said = law_words()
    assert said.count("hybrid can fall under the rules for a listed parent") == 1
    assert "sheet" not in said
    assert said.endswith("Nothing here says that anything is allowed.")


def test_the_law_speaks_of_no_sheet_in_german_either():
    with translation.override("de"):
        said = law_words()
    assert "Blatt" not in said
    assert "Frag die Behörde, wo du lebst, bevor du ein Tier kaufst" in said


def test_a_stranger_reads_of_the_spine_and_of_the_parents_in_one_language(page):
    said = " ".join(seen(page).split())
    assert "The tail carries a venomous, barbed spine." in said
    assert "Call the emergency services at once for a sting to the chest" in said
    german = Client().get(address(page), headers={"accept-language": "de"}).content.decode()
    german = " ".join(german.split())
    assert "<p> Vater; P. leopoldi" in german
    assert "<p> Mutter; P. leopoldi" in german
    assert "Der Schwanz trägt einen giftigen Stachel mit Widerhaken." in german


# ---------------------------------------------------------------- two at once


def chosen(client, litter):
    """The form as it is opened: what it says it saw, and the pups that are ticked."""
    answer = client.get(reverse("offers:sales", args=[litter.pk]))
    seen_then = re.search(r'name="seen" value="([0-9a-f]+)"', answer.content.decode())[1]
    return {"save": "1", "seen": seen_then, "words": "Raised on worms."}


def test_of_two_who_change_the_pups_at_once_the_second_is_told_first(
    page, litter, as_owner, as_keeper
):
    address = reverse("offers:sales", args=[litter.pk])
    first, second, third = litter.pups.order_by("number")
    one, other = chosen(as_owner, litter), chosen(as_keeper, litter)
    as_owner.post(address, {**one, "pups": [first.pk, second.pk]})
    told = as_keeper.post(address, {**other, "pups": [second.pk, third.pk]})
    assert (
        "Jo changed this while you had it open (pup on a sales page taken out, pup: pup 3 of "
        f"litter {litter.code}). Look at it, and save once more if yours is right."
    ) in cast.words(told)
    assert set(page.pups.all()) == {first, second}
    again = re.search(r'name="seen" value="([0-9a-f]+)"', told.content.decode())[1]
    as_keeper.post(address, {**other, "seen": again, "pups": [second.pk, third.pk]})
    assert set(page.pups.all()) == {second, third}
