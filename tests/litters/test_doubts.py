"""A birth that hardly can be: a young dam, and very many pups."""

import re

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from breeding.animals.services import change_animal
from breeding.litters.models import Litter
from breeding.litters.services import PupFacts, add_pup, record_birth
from breeding.program.problems.doubts import DoubtError
from tests import cast

pytestmark = pytest.mark.django_db

BORN, TODAY = cast.day("2026-06-18"), cast.day("2026-11-01")


def birth(dam, pups=1, **more):
    return record_birth(
        dam=dam, born_on=BORN, pups=[PupFacts()] * pups, today=TODAY, by=None, **more
    )


def dam_of(days, **more):
    """A female that is so many days old on the day of the birth."""
    return cast.female("Mira", pure="motoro", born_on=cast.ago(days, BORN), **more)


def test_a_dam_of_two_months_is_refused(owner):
    with pytest.raises(ValidationError) as refused:
        birth(dam_of(60))
    assert refused.value.message_dict == {
        "dam": [
            "Mira was born 19 April 2026, too short a time before the litter (18 June 2026); a dam "
            "is at least 240 days old at a birth."
        ]
    }
    assert Litter.objects.count() == 0


def test_she_is_refused_as_the_dam_of_any_animal_and_cannot_become_so_young(owner):
    mira = dam_of(60)
    with pytest.raises(ValidationError, match="too short a time before Lyra"):
        cast.ray("Lyra", code="Lyra", dam=mira, born_on=BORN)
    vega = cast.female("Vega", born_on=cast.day("2020-01-01"))
    cast.ray("Lyra", dam=vega, born_on=BORN)
    with pytest.raises(ValidationError, match="too short a time before Lyra"):
        change_animal(vega, born_on=cast.day("2026-04-01"))


def test_a_dam_below_the_maturity_of_her_species_is_asked_about(owner):
    mira = dam_of(400)
    with pytest.raises(DoubtError) as asked:
        birth(mira)
    assert asked.value.messages == [
        "Mira was 400 days old on 18 June 2026; by the figures of P. motoro a female is mature "
        "from 548 days on."
    ]
    assert Litter.objects.count() == 0
    assert birth(mira, sure={one.mark for one in asked.value.doubts}).pups.count() == 1


def test_a_dam_of_that_age_or_of_one_that_is_not_known_is_not(owner):
    birth(dam_of(548))
    birth(cast.female("Vega"))


def test_sixty_pups_are_asked_about_and_sixty_one_refused(owner):
    mira = cast.female("Mira", pure="motoro")
    with pytest.raises(DoubtError) as asked:
        birth(mira, 60)
    assert asked.value.messages == [
        "60 pups on 18 June 2026 are more than the largest litter known of P. motoro (16)."
    ]
    with pytest.raises(ValidationError, match="61 pups are more than this can take"):
        birth(mira, 61, sure={one.mark for one in asked.value.doubts})
    assert Litter.objects.count() == 0


def test_the_seventeenth_pup_is_asked_about_also_when_it_is_found_later(owner):
    litter = birth(cast.female("Mira", pure="motoro"), 16)
    with pytest.raises(DoubtError, match="17 pups on 18 June 2026"):
        add_pup(litter, PupFacts(), by=None)


def sent(dam, **more):
    rows = {"pups-TOTAL_FORMS": "0", "pups-INITIAL_FORMS": "0"}
    return {"dam": dam.pk, "born_on": f"{BORN}", **rows, **more}


def test_the_page_refuses_the_one_and_asks_about_the_other(as_keeper):
    address, young = reverse("litters:new"), dam_of(60)
    page = cast.words(as_keeper.post(address, sent(young, alive_count="2")))
    assert "a dam is at least 240 days old at a birth." in page
    vega = cast.female("Vega", pure="motoro")
    page = as_keeper.post(address, sent(vega, alive_count="20"))
    assert "20 pups on 18 June 2026 are more than the largest litter" in cast.words(page)
    assert Litter.objects.count() == 0
    mark = re.search(r'name="sure" value="([^"]+)"', page.content.decode())[1]
    assert as_keeper.post(address, sent(vega, alive_count="20", sure=mark)).status_code == 302
    assert Litter.objects.get().pups.count() == 20
