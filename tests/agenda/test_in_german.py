"""The day, its answers and sheets as a reader of German meets them."""

import datetime

import pytest
from django.urls import reverse
from django.utils import translation

from breeding.agenda.models import Answer
from breeding.agenda.queries import the_day
from breeding.agenda.sent.digest import digest_of
from breeding.program import clock
from breeding.program.queries import the_program
from breeding.sheets.models import Sheet
from breeding.sheets.services import issue_sheet
from tests import cast
from tests.agenda.season import mated
from tests.cast import words

pytestmark = [pytest.mark.django_db, pytest.mark.one_database("how facts become words")]

GERMAN = {"accept-language": "de"}


@pytest.fixture
def mira(owner):
    mira, deneb = cast.female("Mira", pure="motoro"), cast.male("Deneb", pure="motoro")
    mated(mira, deneb, 100)
    return mira


def read(client, address):
    return words(client.get(address, headers=GERMAN))


def test_the_day_counts_in_german_plurals(as_keeper, mira):
    page = read(as_keeper, reverse("agenda:day"))
    assert "2 Tiere hier, 1 Weibchen voraussichtlich trächtig." in page
    assert "Etwas gesehen?" in page
    assert "Vorhergesagte Tage sind Schätzungen." in page


def test_a_button_of_a_line_and_its_receipt_are_german(as_keeper, mira):
    page = read(as_keeper, reverse("agenda:day"))
    assert ">Vorbereiten</a>" in page or ">Sie hat Jungtiere</a>" in page
    sent = {"key": "how_it_died:7", "done": "1"}
    said = as_keeper.post(reverse("agenda:answer"), sent, headers=GERMAN, follow=True)
    assert Answer.objects.get().key == sent["key"]
    assert "Als erledigt vermerkt: woran ist es gestorben?" in words(said)


def test_an_error_stands_beside_its_field_in_german(as_keeper):
    sent = {"key": "how_it_died:7", "later": "1", "put_off_until": "2020-01-01"}
    said = as_keeper.post(reverse("agenda:answer"), sent, headers=GERMAN)
    assert said.status_code == 422
    assert "ist nicht später als heute; wähle einen kommenden Tag." in words(said)


def test_the_digest_says_how_much_there_is(mira):
    today = clock.today()
    with translation.override("de"):
        lines = the_day(the_program(), today=today).lines
        told = digest_of(lines, left_out=(), told_before={}, last_sent_on=None, today=today)
        assert told.lede == "3 Aufgaben, davon dringend: 1; neu oder geändert: 3."
        assert {heading for heading, _ in told.parts} <= {
            "Jetzt",
            "Demnächst",
            "Wenn du entscheidest",
        }


def test_a_sheet_keeps_the_language_it_was_issued_in(as_keeper, mira):
    sheet = issue_sheet(mira, by=None, on=datetime.date(2026, 11, 25), language="de")
    assert Sheet.objects.get().facts["language"] == "de"
    assert sheet.issued_facts.animal.born == "nicht eingetragen"
    page = words(as_keeper.get(sheet.get_absolute_url()))
    assert "<h1>Abstammungsblatt 2026-001</h1>" in page
    assert "As issued: unaltered." in page  # who reads it is told in one's own language
    assert "Notrufnummer (hier die örtliche Nummer eintragen):" in page


def test_a_buyer_reads_a_german_sheet_whatever_the_browser_asks_for(client, mira):
    sheet = issue_sheet(mira, by=None, on=datetime.date(2026, 11, 25), language="de")
    address = reverse("sheets:shared", args=[sheet.links.get().token])
    answer = client.get(address, headers={"accept-language": "en"})
    assert "Wie ausgestellt: unverändert." in words(answer)
    assert answer.headers["Content-Language"] == "de"
