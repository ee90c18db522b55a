"""Chip numbers: what can be one, each of one animal, found as typed and as a reader types them."""

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from breeding.animals.bulk import NewAnimal
from breeding.animals.models import Animal
from breeding.animals.services import change_animal, register_animals
from breeding.animals.typed.chips import problem_of
from breeding.records.incoming.meanings import guess
from tests import cast
from tests.cast import words

pytestmark = pytest.mark.django_db
CHIP = "040098100111917"
FIND = reverse("finding:find")


@pytest.mark.parametrize(
    ("chip", "said"),
    [
        (CHIP, ""),
        ("998000000000001", ""),
        ("900274877906943", ""),
        ("900274877906944", "no higher than 274877906943"),
        ("000098100111917", "the numbers of countries begin at 001"),
        ("999000000000001", "for test chips"),
        ("04009810011191", "14 characters"),
        ("0400981001119177", "16 characters"),
        ("04009810011191A", "15 characters"),
        ("4A5B6C7D8E", ""),
        ("123456789", ""),
        ("٠٤٠098100111917", "15 digits"),
    ],
)
def test_what_can_be_a_chip_number(chip, said):
    assert said in problem_of(chip)
    assert bool(said) == bool(problem_of(chip))


def test_it_is_typed_with_spaces_kept_without_and_shown_with_them(as_owner):
    vega = cast.female("Vega")
    page = as_owner.get(reverse("animals:edit", args=[vega.pk]))
    assert "Chip number" in words(page)
    change_animal(vega, chip=CHIP)
    assert "040 098100111917" in words(as_owner.get(vega.get_absolute_url()))
    change_animal(vega, chip="123456789")
    assert "123456789 (not of ISO 11784)" in words(as_owner.get(vega.get_absolute_url()))


def test_the_form_takes_what_a_label_says(as_owner):
    sent = {"call_name": "Vega", "chip": "040 0981.0011-1917", "sex": "F", "state": "here"}
    more = {"origin": "unknown", "state_on": "", "born": ""}
    as_owner.post(reverse("animals:new"), {**sent, **more})
    assert Animal.objects.get().chip == CHIP
    refused = as_owner.post(reverse("animals:new"), {**sent, **more, "chip": "12", "sure": "x"})
    assert "“12” has 2 characters" in words(refused)


def test_no_two_animals_have_one(owner):
    vega, mira = cast.female("Vega"), cast.female("Mira")
    change_animal(vega, chip=CHIP)
    with pytest.raises(ValidationError, match="Another animal has this chip number"):
        change_animal(mira, chip=CHIP)
    with pytest.raises(ValidationError, match=r"Vega .* has it"):
        register_animals([NewAnimal(1, "N1", {"chip": CHIP})], by=owner)
    both = [NewAnimal(1, "N1", {"chip": "123456789"}), NewAnimal(2, "N2", {"chip": "123456789"})]
    with pytest.raises(ValidationError, match="given to more than one"):
        register_animals(both, by=owner)


@pytest.mark.parametrize("typed", [CHIP, "040 098100111917", "040.098.100.111.917", f" {CHIP}\r"])
def test_a_reader_that_types_and_ends_with_enter_opens_the_animal(as_owner, typed):
    vega = cast.female("Vega", chip=CHIP)
    assert as_owner.get(FIND, {"q": typed}).url == vega.get_absolute_url()


def test_a_part_of_the_number_lists_the_animal(as_viewer):
    cast.female("Vega", chip=CHIP)
    assert "Vega" in words(as_viewer.get(FIND, {"q": "111917"}))
    assert "Nothing is called" in words(as_viewer.get(FIND, {"q": "040098100111918"}))


def test_a_column_of_a_table_is_known_as_chips():
    assert guess(["Code", "Chip No.", "Name"]) == {"code": 0, "chip": 1, "call_name": 2}
