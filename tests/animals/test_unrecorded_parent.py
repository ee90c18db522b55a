"""Young of one litter share a parent that nobody recorded; pages say so without a name."""

import pytest
from django.urls import reverse

from tests import cast

pytestmark = pytest.mark.django_db


def test_young_of_litter_mates_with_an_unknown_sire_show_him_among_the_reasons(as_keeper):
    litter = {"dam": cast.female("Vega"), "born_on": cast.day("2024-01-02")}
    deneb, mira = cast.male("Deneb", **litter), cast.female("Mira", **litter)
    lyra = cast.female("Lyra", sire=deneb, dam=mira)
    page = as_keeper.get(reverse("animals:detail", args=[lyra.pk])).content.decode()
    assert "the unknown sire of Deneb and Mira" in page
    assert "Vega and the unknown sire of Deneb and Mira are the parents of both parents" in page
    assert "25 %" in page
    assert "25 %" in page  # full siblings' young: Wright 1922
