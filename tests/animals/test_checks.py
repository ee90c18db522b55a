"""By hand and in bulk, one animal is refused in the same words."""

import datetime
from fractions import Fraction

import pytest
from django.core.exceptions import ValidationError

from breeding.animals import bulk, services
from breeding.animals.bulk import NewAnimal
from breeding.animals.parents.parentage import Parents
from tests import cast

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("species_data")]


def refusals(facts, *, dam=None, shares=None):
    """What the act for one animal says, and what the one for many says."""
    parents = Parents(dam=dam)
    with pytest.raises(ValidationError) as by_hand:
        services.register_animal(by=None, code="N", parents=parents, species_shares=shares, **facts)
    row = NewAnimal(key=1, code="N", facts=facts, dam=dam, species_shares=shares)
    in_bulk = [(one.field, one.message) for one in bulk.check_animals([row])]
    messages = by_hand.value.message_dict
    return [(field, one) for field, found in messages.items() for one in found], in_bulk


def test_a_state_before_the_birth_is_refused_alike():
    facts = {
        "call_name": "Mira",
        "born_on": datetime.date(2024, 5, 3),
        "born_precision": "day",
        "state": "died",
        "state_on": datetime.date(2024, 5, 2),
    }
    by_hand, in_bulk = refusals(facts)
    assert by_hand == in_bulk
    assert by_hand == [("state_on", "2 May 2024 is before Mira was born (3 May 2024).")]


@pytest.mark.parametrize("has_dam", [False, True])
def test_impossible_species_shares_are_refused_alike(has_dam):
    dam = cast.female("Vega") if has_dam else None
    shares = {
        cast.species("motoro"): Fraction(3, 4),
        cast.species("leopoldi"): Fraction(1, 4) if has_dam else Fraction(1, 2),
    }
    by_hand, in_bulk = refusals({"call_name": "Izar"}, dam=dam, shares=shares)
    assert by_hand == in_bulk
    assert by_hand[0][0] == "species_shares"
    assert ("follow from theirs" if has_dam else "make 5/4") in by_hand[0][1]
