"""What is named by its place is found there, by whichever page or act asks first."""

import re
from pathlib import Path

import pytest
from django.utils.module_loading import import_string

import breeding
from breeding.program.acts.mending import kinds
from breeding.program.late import late

ROOMS = Path(breeding.__file__).parent
PLACES = sorted(
    {
        place
        for card in ROOMS.glob("*/apps.py")
        for place in re.findall(r'"(breeding(?:\.\w+){2,})"', card.read_text())
    }
)


def test_what_a_room_names_is_there():
    assert len(PLACES) > 60
    for place in PLACES:
        found = import_string(place)
        assert callable(found) or place.endswith(".KINDS"), place


def test_every_kind_is_read_once_the_first_is_asked_for():
    keys = [kind.key for kind in kinds()]
    assert keys == sorted(set(keys))
    assert {"animal", "death", "quarantine", "litter", "reminder", "sighting"} <= set(keys)


def test_it_is_called_as_itself():
    assert late("breeding.words.numbers.joined")(["a", "b"]) == "a and b"


def test_a_name_of_nothing_is_told_when_it_is_called():
    with pytest.raises(ImportError, match="nowhere"):
        late("breeding.words.numbers.nowhere")()
