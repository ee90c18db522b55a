"""The page for whoever has a sheet's link: what it shows, what it keeps, and how quiet it is."""

import datetime
import re
from io import BytesIO
from pathlib import Path

import pytest
import time_machine
from django.core.exceptions import ValidationError
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from PIL import Image

from breeding.animals import services as animals
from breeding.animals.models import Animal
from breeding.animals.services import change_state
from breeding.buyers import services as buyers
from breeding.program import clock
from breeding.sheets import services as sheet_services
from breeding.sheets.models import SheetLink
from breeding.sheets.shared import links as sheet_links
from breeding.sheets.standing import withdraw_sheet
from tests import cast

pytestmark = pytest.mark.django_db
ON = cast.day("2026-11-25")


def picture(colour):
    out = BytesIO()
    exif = Image.Exif()
    exif[0x013B] = "Nobody Inparticular"
    Image.new("RGB", (900, 700), colour).save(out, "JPEG", exif=exif)
    return BytesIO(out.getvalue())


@pytest.fixture
def lyra(owner):
    sire, dam = cast.male("Deneb", pure="motoro"), cast.female("Vega", pure="motoro")
    young = cast.female("Lyra", sire=sire, dam=dam, note="not for the bank")
    for animal, colour in ((sire, "brown"), (dam, "black"), (young, "grey")):
        animals.add_photograph(animal, picture(colour), by=None, taken_on=ON)
    return Animal.objects.get(pk=young.pk)  # its parents as they stand now


@pytest.fixture
def issued(lyra, owner):
    kim = buyers.add_contact(by=owner, name="Kim Lund", reach="kim@example.org", wish="cheap")
    return sheet_services.issue_sheet(
        lyra, by=owner, on=ON, contact=kim, base_address="https://rays.example/"
    )


def address(sheet):
    return reverse("sheets:shared", args=[sheet_links.link_of(sheet).token])


def page(sheet, client=None):
    return (client or Client()).get(address(sheet)).content.decode()


# -------------------------------------------------------------------------------- what it shows


def test_a_stranger_with_the_link_reads_the_issued_facts(issued, stranger):
    said = page(issued, stranger)
    for words in ("Parentage sheet 2026-001", "Deneb", "Vega", "Lyra", "As issued: unaltered."):
        assert words in said
    assert issued.seal.fingerprint in said


def test_it_shows_nothing_of_buyers_prices_notes_or_people(issued, stranger):
    said = page(issued, stranger).replace(address(issued), "")  # "Kim" can be among its letters
    for words in (
        "Kim",
        "example.org",
        "cheap",
        "not for the bank",
        "sign-in",
        "csrf",
        "/animals/",
    ):
        assert words not in said
    assert "the buyer of Lyra" in said


def test_it_is_not_indexed_not_kept_between_and_tells_no_other_site(issued, stranger):
    answers = [
        stranger.get(address(issued)),
        stranger.get(address(issued) + "sire/"),
        stranger.get(address(issued) + "pdf/"),
        stranger.get(reverse("sheets:shared", args=["nothing"])),
    ]
    b"".join(answers[2].streaming_content)  # read to its end, so that the file is closed
    for answer in answers:
        assert "noindex" in answer["X-Robots-Tag"]
        assert answer["Cache-Control"].startswith("private")
        assert answer["Referrer-Policy"] == "no-referrer"
    assert '<meta name="robots" content="noindex' in answers[0].content.decode()


def test_the_page_refers_to_nothing_but_its_own_link(issued, stranger):
    found = re.findall(r'(?:src|href)="([^"]+)"', page(issued, stranger))
    assert found
    assert all(one.startswith(address(issued)) or one == "data:," for one in found)


def test_its_pictures_are_small_and_carry_nothing_but_the_picture(issued, stranger):
    for role in ("sire", "dam", "animal"):
        answer = stranger.get(f"{address(issued)}{role}/")
        shown = Image.open(BytesIO(answer.content))
        assert max(shown.size) <= 440
        assert not shown.getexif()
        assert not {"exif", "xmp", "icc_profile"} & shown.info.keys()
        assert b"Nobody" not in answer.content


def test_the_tree_comes_as_a_picture_that_may_do_nothing(issued, stranger):
    answer = stranger.get(f"{address(issued)}tree/")
    assert answer["Content-Type"] == "image/svg+xml"
    assert "default-src 'none'" in answer["Content-Security-Policy"]
    assert b"<svg" in answer.content


def test_the_file_is_the_one_that_was_issued(issued, stranger):
    answer = stranger.get(address(issued) + "pdf/")
    assert b"".join(answer.streaming_content) == Path(issued.file.path).read_bytes()


def test_the_code_on_paper_holds_128_bits_or_more(issued):
    token = sheet_links.link_of(issued).token
    assert len(token) == 22  # 16 bytes, six bits to a letter
    assert re.fullmatch(r"[A-Za-z0-9_-]{22}", token)


def test_old_facts_stand_though_a_parent_has_changed_since(issued, lyra, stranger):
    before = page(issued, stranger)
    animals.change_animal(lyra.sire, call_name="Sirius", markings="another coat")
    animals.add_measurement(lyra, by=None, on=ON, disc_width_mm=155)
    change_state(lyra.dam, state="died", on=ON)
    assert page(issued, stranger) == before


# ---------------------------------------------------------------------------------- how quiet it is


def quiet_tokens(sheet, owner):
    """Every way in which a link leads nowhere."""
    good = sheet_links.link_of(sheet).token
    sheet_links.renew_link(sheet, by=owner, now=clock.now(), last_day=clock.today())
    run_out = sheet_links.link_of(sheet)
    SheetLink.objects.filter(pk=run_out.pk).update(
        last_day=clock.today() - datetime.timedelta(days=1)
    )
    return {
        "closed": good,
        "run out": run_out.token,
        "mistyped": good[:-1] + ("A" if good[-1] != "A" else "B"),
        "cut short": good[:-1],
        "guessed": "A" * 22,
        "other letters": "ключ",
        "long": "x" * 300,
        "a number": "1",
    }


def test_closed_run_out_mistyped_and_guessed_links_get_the_same_answer(
    issued, owner, stranger, caplog
):
    answers = {}
    for why, token in quiet_tokens(issued, owner).items():
        for tail in ("", "sire/", "pdf/", "tree/"):
            got = stranger.get(f"/sheets/s/{token}/{tail}")
            same = {name: value for name, value in got.items() if name != "Content-Length"}
            answers[why, tail] = (got.status_code, got.content, tuple(sorted(same.items())))
    first = answers["guessed", ""]
    assert first[0] == 404
    assert caplog.text == ""  # nor does the log keep what somebody tried
    different = [one for one, answer in answers.items() if answer[:2] != first[:2]]
    assert different == []
    for place in ("", "sire/", "pdf/", "tree/"):
        assert len({answer[2] for (_, tail), answer in answers.items() if tail == place}) == 1


def test_a_link_that_leads_nowhere_costs_one_question_whatever_the_reason(issued, owner, stranger):
    asked = set()
    for token in quiet_tokens(issued, owner).values():
        with CaptureQueriesContext(connection) as questions:
            stranger.get(f"/sheets/s/{token}/")
        about_links = [one for one in questions if "sheetlink" in one["sql"]]
        asked.add((len(questions), len(about_links)))
    assert len(asked) == 1
    assert asked.pop()[1] == 1


def test_being_signed_in_makes_no_difference(issued, stranger, as_owner):
    assert page(issued, as_owner) == page(issued, stranger)
    nothing = reverse("sheets:shared", args=["nothing"])
    assert as_owner.get(nothing).content == stranger.get(nothing).content


def test_the_link_changes_nothing(issued, stranger):
    assert stranger.post(address(issued)).status_code == 405


def test_a_picture_that_is_not_on_the_sheet_is_as_quiet(issued, stranger):
    answer = stranger.get(address(issued) + "wallet/")
    assert answer.status_code == 404
    assert answer.content == stranger.get("/sheets/s/nothing/").content


# --------------------------------------------------------------------- renewing, closing, ending


def test_a_renewed_link_leads_on_and_the_old_one_nowhere(issued, owner, stranger):
    old = address(issued)
    sheet_links.renew_link(issued, by=owner, now=clock.now())
    assert stranger.get(old).status_code == 404
    assert stranger.get(address(issued)).status_code == 200
    assert address(issued) != old


def test_a_closed_link_leads_nowhere_and_keeps_its_row(issued, stranger):
    old = address(issued)
    sheet_links.close_link(issued, now=clock.now())
    assert stranger.get(old).status_code == 404
    assert sheet_links.link_of(issued) is None
    assert SheetLink.objects.get().closed_at is not None


def test_a_link_leads_to_the_sheet_on_its_last_day_and_not_after(issued, stranger):
    with time_machine.travel("2026-12-01T12:00:00Z", tick=False):
        sheet_links.end_link(issued, last_day=cast.day("2026-12-03"), today=clock.today())
    for moment, status in (("2026-12-03T23:30:00Z", 200), ("2026-12-04T00:30:00Z", 404)):
        with time_machine.travel(moment, tick=False):
            assert stranger.get(address(issued)).status_code == status


def test_a_last_day_in_the_past_is_refused(issued):
    with pytest.raises(ValidationError, match="24 November 2026 is past"):
        sheet_links.end_link(issued, last_day=cast.day("2026-11-24"), today=ON)


def test_a_closed_link_cannot_be_given_a_last_day(issued):
    sheet_links.close_link(issued, now=clock.now())
    with pytest.raises(ValidationError, match="make a new one"):
        sheet_links.end_link(issued, last_day=None, today=ON)


# --------------------------------------------------------------------- withdrawn and replaced


def test_a_withdrawn_sheet_says_so_and_keeps_the_reason_to_the_house(
    issued, owner, stranger, as_owner
):
    withdraw_sheet(issued, by=owner, on=cast.day("2026-12-01"), reason="the dam was another")
    said = page(issued, stranger)
    assert "Withdrawn on Tue 1 Dec 2026." in said
    assert "the dam was another" not in said
    assert "the dam was another" in as_owner.get(issued.get_absolute_url()).content.decode()


def test_a_replaced_sheet_names_the_one_that_takes_its_place(issued, lyra, owner, stranger):
    later = sheet_services.issue_sheet(lyra, by=owner, on=cast.day("2026-12-02"), corrects=issued)
    said = page(issued, stranger)
    assert "Replaced by sheet 2026-002 of Wed 2 Dec 2026." in said
    assert sheet_links.link_of(later).token not in said
    assert "in place of sheet 2026-001" in page(later, stranger)


# ------------------------------------------------------------------------------------- addresses


@pytest.mark.parametrize(
    ("base", "is_local"),
    [
        ("http://127.0.0.1:8000/", True),
        ("http://localhost:8000/", True),
        ("http://[::1]:8000/", True),
        ("http://10.0.0.7/", True),
        ("http://172.16.3.4:8000/", True),
        ("http://169.254.1.1/", True),
        ("http://[fe80::1]/", True),
        ("http://tankroom.local/", True),
        ("https://rays.example/", False),
        ("https://8.8.8.8/", False),
    ],
)
def test_an_address_that_only_this_network_reaches_is_known_as_such(base, is_local):
    assert sheet_links.is_only_local(base) is is_local


def test_links_begin_with_the_public_address_when_there_is_one():
    assert sheet_links.base_of("http://127.0.0.1:8000/") == "http://127.0.0.1:8000/"
    sheet_links.set_public_address("https://rays.example")
    assert sheet_links.base_of("http://127.0.0.1:8000/") == "https://rays.example"


@pytest.mark.parametrize("typed", ["rays", "ftp://rays.example", "javascript:alert(1)"])
def test_another_address_than_one_of_the_web_is_refused(typed):
    with pytest.raises(ValidationError):
        sheet_links.set_public_address(typed)
