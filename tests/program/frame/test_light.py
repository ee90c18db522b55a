"""How heavy a page is on the wire, with its style and scripts.

The test server does not pack style and scripts; they are packed here as when `start` puts them
in place.
"""

import gzip
import re
from pathlib import Path

import pytest
from django.contrib.staticfiles import finders
from django.test import Client
from django.urls import reverse

from breeding.pairings.species_file import load_species
from tests.everything import everything

pytestmark = pytest.mark.django_db
PACKS = {"accept-encoding": "gzip"}
MOST_ON_THE_WIRE = 100_000


def weight(page: bytes) -> int:
    """A page with the style and scripts it names, as they travel."""
    named = set(re.findall(r'"/static/([^"]+\.(?:css|js))"', gzip.decompress(page).decode()))
    assert {"look.css", "keep.js"} <= named
    return len(page) + sum(
        len(gzip.compress(Path(str(finders.find(name))).read_bytes())) for name in named
    )


@pytest.mark.parametrize("route", ["agenda:day", "pairings:log", "animals:detail"])
def test_a_page_with_style_and_scripts_is_light(db, route):
    load_species()
    client = Client()
    client.force_login(everything())
    answer = client.get(reverse(route, args=[1] if "detail" in route else []), headers=PACKS)
    assert answer["Content-Encoding"] == "gzip"
    assert weight(answer.content) < MOST_ON_THE_WIRE
