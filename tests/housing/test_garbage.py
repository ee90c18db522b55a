"""Nonsense in any field of the room's forms is answered with a page that says so, never a crash."""

import pytest
from django.urls import reverse

from breeding.housing.models import Tank
from breeding.housing.services import move_animal
from breeding.program import clock
from tests import cast
from tests.test_never_500 import GARBAGE

pytestmark = pytest.mark.django_db
FIELDS = {
    "move": ["tank", "on", "old_news"],
    "move_all": ["tank", "on"],
    "close_divider": ["on"],
    "open_divider": ["on"],
    "earlier": ["place", "since", "until"],
    "correct": ["place", "since", "until", "reason", "neighbours_follow"],
    "edit": ["name", "kind", "system", "new_system", "can_divide"],
    "limits": ["temperature_least", "temperature_most", "ph_least", "nitrate_most"],
    "water_test": [
        *("temperature_c", "ph", "ammonia_mg_l", "ammonia_as", "nitrite_mg_l", "nitrite_as"),
        *("nitrate_mg_l", "nitrate_as", "tested_at", "note"),
    ],
}


@pytest.mark.parametrize("page", FIELDS)
def test_nonsense_never_crashes_a_page(as_owner, page):
    tank = Tank.objects.create(name="Pool", can_divide=True)
    other = Tank.objects.create(name="Bay")
    mira = cast.female()
    stay = move_animal(mira, tank, on=clock.today(), by=None)
    keys = {"move": mira.pk, "earlier": mira.pk, "correct": stay.pk}
    url = reverse(f"housing:{page}", args=[] if page == "limits" else [keys.get(page, tank.pk)])
    sound = {
        "tank": f"{other.pk}",
        "on": f"{clock.today()}",
        "place": f"{other.pk}",
        "since": f"{clock.today()}",
        "until": f"{clock.today()}",
        f"side_{mira.pk}": "left",
        "name": "Pool",
        "kind": "breeding",
        "ph": "7",
        "ammonia_as": "ion",
        "nitrite_as": "ion",
        "nitrate_as": "ion",
    }
    for field in FIELDS[page]:
        for nonsense in GARBAGE:
            answer = as_owner.post(url, sound | {field: nonsense})
            assert answer.status_code in (200, 302), (field, nonsense)
