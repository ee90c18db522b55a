"""Two people, one of whom reads German: each reads in their own language what the other did."""

import datetime

import pytest
from django.urls import reverse
from django.utils import translation

from breeding.animals.mending.withdrawing import withdraw_animal
from breeding.animals.models import Animal
from breeding.animals.services import register_animal
from breeding.housing.models import Tank, WaterSystem
from breeding.housing.services import move_animal
from breeding.pairings.models import Sighting, SignKind
from breeding.program import clock
from breeding.program.acts.named import join
from breeding.program.models import Act
from breeding.program.services import choose_language, withdraw
from breeding.words.days import long_day
from breeding.words.language import Told, remembering, say_again, sentences, strung, tell
from breeding.words.numbers import joined, percent
from breeding.words.stored import as_stored, read_stored
from tests import cast
from tests.cast import words

pytestmark = pytest.mark.django_db


@pytest.fixture
def two(db):
    """Jo, who owns the program and reads German, and Sam, who keeps it and reads English."""
    jo, sam = cast.owner(), cast.keeper()
    choose_language(jo, language="de", clock="")
    choose_language(sam, language="en", clock="")
    return jo, sam


def sent(client, person, address, **fields):
    """What somebody sends, and the act that it became."""
    client.force_login(person)
    answer = client.post(address, fields)
    assert answer.status_code == 302, words(answer)
    return Act.objects.first()


def read_by(language, act):
    with translation.override(language):
        return Act.objects.get(pk=act.pk).words


def page(client, person, address):
    client.force_login(person)
    return words(client.get(address))


def test_a_receipt_is_read_in_either_language(client, two):
    jo, sam = two
    mira = cast.female("Mira")
    mating = SignKind.objects.get(key="copulation").pk
    address = reverse("pairings:log")
    for person in (jo, sam):
        act = sent(client, person, address, female=mira.pk, kind=mating, when="now")
        assert read_by("en", act).startswith("Written: Mira, mating. Chance that she is preg")
        assert read_by("de", act).startswith("Eingetragen: Mira, Paarung. Wahrscheinlichkeit")


def test_whoever_chooses_another_language_reads_the_last_receipt_in_it(client, two):
    jo, _ = two
    tank, other = (Tank.objects.create(name=name) for name in ("Reef", "Pool"))
    mira = cast.female("Mira")
    move_animal(mira, other, on=cast.ago(30), by=jo)
    day = cast.ago(2)
    sent(client, jo, reverse("housing:move", args=[mira.pk]), tank=tank.pk, on=day.isoformat())
    assert "Mira ist jetzt in Reef." in page(client, jo, tank.get_absolute_url())
    choose_language(jo, language="en", clock="")
    assert "Mira is in Reef now." in page(client, jo, tank.get_absolute_url())


def test_an_owner_undoes_what_a_keeper_wrote_and_both_read_it(client, two):
    jo, sam = two
    mira = cast.female("Mira")
    fields = {"female": mira.pk, "kind": SignKind.objects.get(key="following").pk, "when": "now"}
    written = sent(client, sam, reverse("pairings:log"), **fields)
    undone = sent(client, jo, reverse("program:undo", args=[written.pk]))
    assert read_by("en", undone).startswith("Undone: Mira, following.")
    assert read_by("de", undone).startswith("Rückgängig gemacht: Mira, Nachschwimmen.")
    address = reverse("program:withdraw", args=["sighting", Sighting.objects.get().pk])
    assert "undone by who wrote it" in page(client, sam, address)
    assert "rückgängig gemacht" in page(client, jo, address)
    assert "undone by who wrote it" not in page(client, jo, address)


def test_reasons_of_the_program_are_read_in_ones_own_language_and_typed_ones_stay(client, two):
    jo, _ = two
    with translation.override("de"):
        kept, gone = (WaterSystem.objects.create(name=name) for name in ("Loop", "Ring"))
        join(gone, kept, by=jo, now=clock.now())
        mira = register_animal(call_name="Mira", sex="F", by=jo)
        withdraw_animal(mira, by=jo, now=clock.now(), reason="doppelt")
        tank = Tank.objects.create(name="Reef")
        withdraw(tank, by=jo, now=clock.now(), reason="verkauft")
    gone.refresh_from_db()
    assert gone.withdrawn_reason == "joined to Loop"
    said = {}
    for language in ("de", "en"):
        with translation.override(language):
            said[language] = (
                gone.why_withdrawn,
                Animal.every.get(pk=mira.pk).why_withdrawn,
                tank.why_withdrawn,
                read_stored(as_stored("follows a correction: {reason}", reason="joined to Loop")),
            )
    assert said["en"] == (
        "joined to Loop",
        "doppelt",
        "verkauft",
        "follows a correction: joined to Loop",
    )
    assert said["de"] == (
        "zusammengelegt mit Loop",
        "doppelt",
        "verkauft",
        "folgt einer Berichtigung: zusammengelegt mit Loop",
    )


def test_what_was_kept_before_stays_readable(client, two):
    jo, _ = two
    act = Act.objects.create(key="1.x", person=jo, at=clock.now(), door="/", said="Mira is moved.")
    assert read_by("de", act) == read_by("en", act) == "Mira is moved."
    with translation.override("en"):
        assert read_stored("zusammengelegt mit Loop") == "zusammengelegt mit Loop"


def test_days_and_numbers_are_said_again_too():
    with translation.override("de"), remembering():
        day = long_day(datetime.date(2026, 3, 3))
        first = tell("{animal} is in no tank now.", animal="Mira")
        said = sentences(first, "", f"{joined(['Vega', percent(0.125)])}.")
        parts = sentences(first, strung([day, joined(["Vega", percent(0.125)])], "; "))
    assert isinstance(parts, Told)
    assert parts == "Mira ist jetzt in keinem Becken. 3. März 2026; Vega und 12,5 %"
    with translation.override("en"):
        assert say_again(parts) == "Mira is in no tank now. 3 March 2026; Vega and 12.5 %"
        assert say_again(said) == "Mira is in no tank now. Vega und 12,5 %."  # put together by hand
    assert type(tell("today")) is str  # nobody is to read it later
