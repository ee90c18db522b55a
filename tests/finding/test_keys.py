"""Keys of a desk and what is added from every page: plain links first."""

import re

import pytest
from django.urls import reverse

from breeding.housing.models import Tank
from tests import cast
from tests.cast import words

pytestmark = [pytest.mark.django_db, pytest.mark.one_database("how keys become words")]
KEYS = reverse("finding:keys")


def test_every_key_leads_to_a_page_that_its_reader_may_open(as_keeper, as_viewer):
    for client, least in ((as_keeper, 19), (as_viewer, 9)):
        page = client.get(KEYS).content.decode()
        found = re.findall(r'data-key="([^"]+)" href="([^"]+)"', page)
        assert len(found) >= least
        assert len({key for key, _ in found}) == len(found)
        for key, address in found:
            assert client.get(address).status_code == 200, key


def test_the_script_gets_the_list_alone(as_viewer):
    answer = as_viewer.get(KEYS, headers={"x-requested-with": "keys"})
    assert "<html" not in answer.content.decode()
    assert "data-key=" in answer.content.decode()
    assert '<script src="/static/keys.js" defer data-keys="/keys/">' in words(as_viewer.get(KEYS))


def test_whoever_reads_only_adds_nothing(as_keeper, as_viewer):
    assert '<details class="add">' in words(as_keeper.get("/find/"))
    assert '<details class="add">' not in words(as_viewer.get("/find/"))
    assert "Add: <kbd>n</kbd>" not in words(as_viewer.get(KEYS))


def test_a_measurement_and_a_water_test_begin_with_whom(as_keeper, as_viewer):
    vega, pool = cast.female("Vega"), Tank.objects.create(name="Pool")
    cast.female("Vegatar")
    page = words(as_keeper.get("/find/", {"to": "measure", "q": "veg"}))
    assert reverse("animals:measure", args=[vega.pk]) in page
    assert "Whom did you measure?" in page
    opened = as_keeper.get("/find/", {"to": "water", "q": "poo"})
    assert opened.url == reverse("housing:water_test", args=[pool.pk])
    assert "Whom did you measure?" not in words(as_viewer.get("/find/", {"to": "measure"}))
