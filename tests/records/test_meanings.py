"""Which column means what, from the words of the header."""

import pytest
from django.utils import translation

from breeding.records.incoming.kinds.table import guess_kind, meanings_of
from breeding.records.incoming.meanings import guess, unit_in


@pytest.mark.parametrize(
    ("headers", "found"),
    [
        (["id", "sire", "dam"], {"code": 0, "sire": 1, "dam": 2}),
        (["Name", "Father", "Mother"], {"call_name": 0, "sire": 1, "dam": 2}),
        (["Animal ID", "Sire_ID", "damId"], {"code": 0, "sire": 1, "dam": 2}),
        (["No.", "Code"], {"code": 1}),
        (["Gender", "DOB", "Remarks"], {"sex": 0, "born": 1, "note": 2}),
        (["Date of birth", "Date of death"], {"born": 0, "died_on": 1}),
        (["DW (mm)", "Weight kg"], {"disc_width": 0, "weight": 1}),
        (["", "shoe size", "🐟"], {}),
    ],
)
def test_common_headers_are_recognised(headers, found):
    assert guess(headers) == found


def test_a_table_headed_in_the_words_of_the_page_is_recognised_in_its_readers_language():
    headers = ["Tier", "Was gesehen wurde", "Gesehen am", "Uhrzeit", "Mit dem Männchen", "Notiz"]
    with translation.override("de"):
        assert guess_kind(headers) == "sightings"
        assert guess(headers, meanings_of("sightings")) == {
            "animal": 0,
            "kind": 1,
            "seen_at": 2,
            "time": 3,
            "male": 4,
            "note": 5,
        }
    assert "kind" not in guess(headers, meanings_of("sightings"))


def test_one_meaning_goes_to_one_column_only():
    assert guess(["code", "code"]) == {"code": 0}


def test_a_unit_in_the_header_is_noticed():
    assert unit_in("Disc width [inch, in]", "disc_width") == "in"
    assert unit_in("weight", "weight") == ""
