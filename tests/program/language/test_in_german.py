"""The frame, the people, what is put right and the cautions, for who reads German."""

import datetime

import pytest
from django.urls import reverse
from django.utils import translation

from breeding.animals.services import add_measurement
from breeding.program.forms import ProgramForm
from breeding.program.reference.cautions import cautions
from breeding.program.typed.reading import read_number
from tests import cast
from tests.cast import words

pytestmark = pytest.mark.django_db
GERMAN = {"headers": {"Accept-Language": "de"}}


@pytest.fixture
def in_german():
    with translation.override("de"):
        yield


def page(client, name, *args):
    return words(client.get(reverse(name, args=args), **GERMAN))


def test_the_frame_names_the_rooms_and_the_ways(as_keeper):
    said = page(as_keeper, "program:more")
    assert '<html lang="de">' in said
    assert all(one in said for one in ("Heute", "Würfe", "Eintragen", "Mehr"))
    assert "Angemeldet als Sam, Pfleger." in said


def test_a_stranger_signs_in_and_a_wrong_password_is_said(stranger, owner):
    assert "Passwort vergessen?" in page(stranger, "program:sign_in")
    sent = {"username": "jo", "password": "no"}
    refused = words(stranger.post(reverse("program:sign_in"), sent, **GERMAN))
    assert "Dieser Name und dieses Passwort gehören nicht zusammen." in refused
    assert "1 Angabe ist zu berichtigen; noch ist nichts eingetragen" in refused


def test_a_list_counts_its_rows_and_heads_its_columns(as_owner, keeper):
    said = page(as_owner, "program:people")
    assert "2 Leute" in said
    assert all(one in said for one in ("Meldet sich an als", "Zuletzt angemeldet", "Inhaber"))
    nobody = words(as_owner.get(reverse("program:people") + "?q=nobody", **GERMAN))
    assert "Leute: 0 von 2" in nobody
    assert "Nichts passt dazu." in nobody


def test_settings_are_labelled_and_refused_in_german(as_owner):
    assert "Einheit der Länge" in page(as_owner, "program:settings")
    answer = as_owner.post(reverse("program:settings"), {"name": "", "rest_days": "x"}, **GERMAN)
    said = words(answer)
    assert "„Name“ ist leer; gebraucht wird Text mit bis zu 80 Zeichen." in said
    assert "„x“ ist für „Ruhetage“ nicht möglich; erlaubt ist eine ganze Zahl" in said


def test_a_record_is_withdrawn_and_the_receipt_undoes_it(as_keeper, keeper):
    mira = cast.female("Mira")
    add_measurement(
        mira, by=keeper, on=datetime.date(2026, 3, 2), disc_width_mm=312, sure=cast.SURE
    )
    kept = mira.measurements.get()
    asked = page(as_keeper, "program:withdraw", "measurement", kept.pk)
    assert "Warum wird es zurückgezogen?" in asked
    assert "Scheibenbreite" in asked  # in how it was
    address = reverse("program:withdraw", args=["measurement", kept.pk])
    as_keeper.post(address, {"reason": "Mirrors"}, **GERMAN)
    said = page(as_keeper, "program:more")
    assert "ist zurückgezogen und zählt nicht mehr." in said
    assert "Rückgängig" in said


def test_the_care_page_says_every_caution(as_viewer):
    said = page(as_viewer, "program:care")
    assert "nicht heißer als 45 °C (113 °F), jeweils 30 Minuten" in said
    assert "Das Recht am eigenen Wohnort" in said
    assert "Nie ein trächtiges Weibchen versenden." in said


def test_every_caution_and_its_heading_has_its_german(in_german):
    for one in cautions().values():
        assert one.heading != one.called
        assert all(sentence.text != sentence.message for sentence in one.sentences)
    assert "{" not in " ".join(one.full for one in cautions().values())


def test_trouble_is_said_in_german(as_viewer):
    assert "Hier ist nichts" in words(as_viewer.get("/nowhere/", **GERMAN))
    assert "Das darf nur ein Inhaber des Programms." in page(as_viewer, "program:settings")


def test_keys_of_a_keyboard_are_not_those_that_sign(as_keeper):
    assert "<h1>Tasten</h1>" in page(as_keeper, "finding:keys")
    assert "<h1>Schlüssel</h1>" in page(as_keeper, "exchange:keys")


def test_the_words_of_scripts_come_with_the_page(as_keeper):
    assert 'data-send-now="Jetzt senden"' in page(as_keeper, "program:more")


def test_a_form_made_from_a_model_is_labelled_in_the_language_of_who_reads_it(in_german):
    labels = {name: str(one.label) for name, one in ProgramForm.base_fields.items()}
    assert labels["length_unit"] == "Einheit der Länge"
    assert str(ProgramForm.base_fields["length_unit"].choices[0][1]) == "Zentimeter"


def test_what_is_no_number_is_refused_in_german(in_german):
    with pytest.raises(Exception, match="„acht“ ist keine Zahl; schreibe sie wie 38 oder 38,5"):
        read_number("acht", places=2)
