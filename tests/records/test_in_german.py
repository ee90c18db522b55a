"""The chronicle, imports, the check and the export, read in German."""

import pytest
from django.urls import reverse
from django.utils import translation

from breeding.animals.models import Animal
from breeding.housing.models import Tank
from breeding.housing.services import move_animal
from breeding.program import clock
from breeding.records.archive.writing import write_archive
from breeding.records.chronicle.entry import phrase
from breeding.records.incoming.cells import read_full_date
from breeding.records.incoming.problems import Problem
from breeding.records.models import ImportDraft
from tests import cast
from tests.cast import day, words
from tests.lists import plain

pytestmark = [pytest.mark.django_db, pytest.mark.one_database("how facts become words")]
GERMAN = {"accept-language": "de"}
LITTERS = "dam,born,alive\nMira,2024-05-03,2\n"
PARENTS = "code,sire,dam\nR1,Nobody,\n"


@pytest.fixture
def mira(species_data):
    return cast.female("Mira", born_on=day("2020-05-01"))


def page(client, address):
    return words(client.get(address, headers=GERMAN))


def bring_in(client, table):
    sent = client.post(reverse("records:index"), {"pasted": table}, headers=GERMAN)
    return page(client, sent.url)


def test_a_move_is_told_with_its_link_where_german_has_it(as_viewer, mira):
    move_animal(mira, Tank.objects.create(name="Bay"), on=day("2026-11-02"), by=None)
    told = plain(page(as_viewer, reverse("records:animal", args=[mira.pk])))
    assert "Chronik von Mira" in told
    assert "Nach Bay umgesetzt" in told
    assert "2 Einträge" in told


def test_one_phrase_is_told_anew_for_each_reader():
    said = "[moved] to {tank}"
    with translation.override("de"):
        german = phrase(said, tank="<Bay>")
    assert tuple(german) == ("nach &lt;Bay&gt; ", "umgesetzt", "")
    assert tuple(phrase(said, tank="Bay")) == ("", "moved", " to Bay")


def test_a_table_is_asked_about_in_german_and_read_as_before(as_keeper, mira):
    seen = bring_in(as_keeper, LITTERS)
    assert ImportDraft.objects.get().kind == ImportDraft.Kind.LITTERS
    assert "1 Zeile, 3 Spalten; noch ist nichts eingetragen" in seen
    assert "1 Frage, bevor eingetragen wird" in seen
    assert "2 Jungtiere von Mira" in seen
    assert "1 Geburt eintragen" in seen


def test_an_unknown_parent_is_asked_about_and_taken_as_one_who_left(as_keeper):
    seen = bring_in(as_keeper, PARENTS)
    assert "„Nobody“ ist weder eine Zeile dieser Tabelle noch ein eingetragener Code" in seen
    assert "Zeile 2, Vater" in seen
    draft = ImportDraft.objects.get()
    draft.answers = [
        {"meaning": "sire", "typed": "Nobody", "lines": [], "act": "new", "text": "",
         "keeps_words": False, "asked": ""}
    ]  # fmt: skip
    draft.save()
    assert "2 Tiere eintragen" in page(as_keeper, draft.get_absolute_url())
    as_keeper.post(reverse("records:write", args=[draft.pk]), headers=GERMAN)
    assert Animal.objects.get(call_name="Nobody").state == Animal.State.LEFT


def test_a_cell_that_cannot_be_read_is_named_with_its_nouns_as_german_writes_them():
    with translation.override("de"):
        with pytest.raises(Exception, match="ist kein volles Datum"):
            read_full_date("2019", "", today=clock.today())
        assert Problem((2,), "disc_width", "").where == "Zeile 2, Scheibenbreite"
    assert Problem((2,), "disc_width", "").where == "Line 2, disc width"


def test_the_check_and_the_export_are_explained_in_german(as_owner):
    assert "Alle Aufzeichnungen sind vollständig" in page(as_owner, reverse("records:check"))
    out = page(as_owner, reverse("records:take_out"))
    assert "Alles ausgeben" in out
    assert "Eine Fütterungsrunde." in out


def test_an_archive_is_the_same_whatever_language_its_owner_reads(as_owner, tmp_path):
    made, now = [], clock.now()
    for language in ("en", "de"):
        with translation.override(language), (tmp_path / language).open("wb") as out:
            write_archive(out, now=now)
        made.append((tmp_path / language).read_bytes())
    assert made[0] == made[1]
