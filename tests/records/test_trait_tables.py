"""What animals show of a trait: brought in as a table, in the chronicle, out and in again."""

import pytest
from django.urls import reverse

from breeding.traits.models import Trait, TraitLook
from breeding.traits.reading import reading_of
from tests import cast
from tests.cast import day
from tests.records.archive.loop import check_round_trip, counts_of, files_of, taken_out
from tests.records.tables import latest, paste, problems_of, proposal_of, write
from tests.records.test_daily_tables import undo
from tests.traits.cases import look, recessive

pytestmark = pytest.mark.django_db
TABLE = (
    "animal,trait,seen,on,laboratory,how sure\n"
    "M1,Paper Honey,yes,2026-03-05,,\n"
    "R1,Paper Honey,1 copy,2026-03-06,Quay Laboratory,98\n"
)


@pytest.fixture
def honey(as_keeper):
    cast.female("Mira", code="M1")
    cast.male("Rigel", code="R1")
    return recessive()


def test_each_row_becomes_a_look_and_is_undone_as_a_whole(as_keeper, honey):
    answer = paste(as_keeper, TABLE)
    assert latest().kind == "traits"
    assert problems_of(answer) == []
    write(as_keeper)
    found = TraitLook.objects.order_by("on")
    assert [(one.animal.name, one.what, one.on) for one in found] == [
        ("Mira", "shows", day("2026-03-05")),
        ("Rigel", "copies_1", day("2026-03-06")),
    ]
    assert [(one.looked_by, one.sure_percent) for one in found] == [
        ("", 100),
        ("Quay Laboratory", 98),
    ]
    assert reading_of(honey).chances(found[0].animal_id) == pytest.approx((0, 0, 1))
    undo(as_keeper)
    assert not TraitLook.objects.exists()
    assert Trait.objects.get() == honey


def test_what_cannot_be_read_is_named_by_its_value(as_keeper, honey):
    found = problems_of(
        paste(
            as_keeper,
            "animal,trait,seen,on,how sure\n"
            "M1,Lace,yes,2026-03-05,\n"
            "M1,Paper Honey,carrier,2026-03-05,\n"
            "M1,Paper Honey,yes,spring,\n"
            "M1,Paper Honey,yes,2026-03-05,20\n"
            "Nobody,Paper Honey,yes,2026-03-05,\n",
        )
    )
    told = " ".join(found)
    for value in ("Line 2", "“Lace”", "Line 3", "“carrier”", "“spring”", "Line 5", "“Nobody”"):
        assert value in told
    assert "51" in told
    assert not TraitLook.objects.exists()


def test_the_same_look_twice_is_asked_about(as_keeper, honey):
    paste(as_keeper, TABLE)
    write(as_keeper)
    questions = proposal_of(paste(as_keeper, TABLE)).questions
    assert any("Mira" in one.message and "is on record already" in one.message for one in questions)


def test_the_chronicle_of_the_animal_and_of_the_program_tell_it(as_keeper, honey):
    paste(as_keeper, TABLE)
    write(as_keeper)
    rigel = TraitLook.objects.get(what="copies_1").animal
    for address in (
        reverse("records:animal", args=[rigel.pk]),
        reverse("records:chronicle"),
    ):
        page = as_keeper.get(address).content.decode()
        assert "tested: one copy, by Quay Laboratory" in page


def test_traits_and_looks_go_out_and_come_in_again(species_data, settings, tmp_path):
    settings.HOME = tmp_path / "first"
    settings.HOME.mkdir()
    mira = cast.female("Mira", code="M1")
    look(recessive(species=cast.species("motoro")), mira, "not", looked_by="Sam", sure_percent=90)
    archive = taken_out()
    assert counts_of(archive)["traits"] == counts_of(archive)["trait_looks"] == 1
    rows = files_of(archive)["records/trait_looks.csv"].decode()
    assert "Sam" in rows
    assert ",90," in rows
    check_round_trip(settings, tmp_path / "home")
    (back,) = TraitLook.objects.all()
    assert (back.animal.code, back.trait.name, back.what) == ("M1", "Paper Honey", "not")
    assert back.trait.species.key == "motoro"
