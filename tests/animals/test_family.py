"""A family walked from one animal to the next, and one animal's pictures over time."""

import datetime
import re
from io import BytesIO

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from PIL import Image

from breeding.animals import services as animals
from breeding.animals.family import MOST_YOUNG, family_of
from breeding.animals.pictures.over_time import chosen_two, pictured_over_time
from tests import cast
from tests.cast import day

pytestmark = pytest.mark.django_db


def address(animal):
    return reverse("animals:family", args=[animal.pk])


def led_to(client, animal):
    """The addresses of the page's own part, in their order."""
    page = client.get(address(animal)).content.decode()
    (walk,) = re.findall(r'<div class="walk".*?(?=<p class="hint" data-walk-keys)', page, re.DOTALL)
    return re.findall(r'href="([^"]+)"', walk)


def pictured(animal, on):
    out = BytesIO()
    Image.new("RGB", (60, 60), "brown").save(out, "JPEG")
    out.seek(0)
    return animals.add_photograph(animal, out, by=None, taken_on=on and day(on))


@pytest.fixture
def lyra(owner):
    vega, deneb = cast.female("Vega"), cast.male("Deneb", sire=cast.male("Altair"))
    lyra = cast.female("Lyra", sire=deneb, dam=vega, born_on=day("2020-05-01"))
    cast.male("Izar", sire=deneb, dam=vega, born_on=day("2020-05-01"))
    cast.male("Later", sire=deneb, dam=vega, born_on=day("2021-05-01"))
    cast.female("Mira", sire=deneb, dam=lyra, born_on=day("2023-01-01"))
    cast.female("Spica", dam=lyra, born_on=day("2024-01-01"))
    return lyra


def test_family_leads_up_sideways_and_down_and_to_the_animal_itself(lyra, as_viewer):
    named = {one.call_name: one for one in type(lyra).objects.all()}
    expected = [lyra.get_absolute_url()]
    expected += [address(named[name]) for name in ("Deneb", "Vega", "Altair")]
    expected += [address(named[name]) for name in ("Izar", "Spica", "Deneb", "Mira")]
    assert led_to(as_viewer, lyra) == expected


def test_littermates_are_those_of_the_same_day_and_dam(lyra):
    found = family_of(lyra)
    assert [one.call_name for one in found.littermates] == ["Izar"]
    mates = [(mate.animal and mate.animal.call_name, mate.is_kin) for mate in found.mates]
    assert mates == [(None, False), ("Deneb", True)]


def test_a_double_line_and_a_word_say_that_mates_are_kin(lyra, as_viewer):
    page = as_viewer.get(address(lyra)).content.decode()
    assert page.count("The two are kin.") == page.count("pairing are-kin") == 1


def test_of_many_young_the_latest_are_shown_and_the_others_counted(owner):
    dam = cast.female("Vega")
    for number in range(MOST_YOUNG + 2):
        cast.ray(f"P{number}", dam=dam, born_on=day("2020-01-01") + datetime.timedelta(days=number))
    found = family_of(dam)
    assert found.more_young == 2
    assert found.mates[0].young[0].call_name == f"P{MOST_YOUNG + 1}"


def test_family_asks_no_more_for_more_young(lyra, as_viewer):
    def asked():
        with CaptureQueriesContext(connection) as queries:
            as_viewer.get(address(lyra))
        return len(queries)

    asked()
    before = asked()
    for number in range(10):
        cast.ray(f"P{number}", sire=cast.male(f"M{number}"), dam=lyra, born_on=day("2025-01-01"))
    asked()  # the lineage is read anew
    assert asked() == before


def test_the_tree_of_an_animal_s_page_leads_to_its_family(lyra, as_viewer):
    page = as_viewer.get(lyra.get_absolute_url()).content.decode()
    (tree,) = re.findall(r'<svg[^>]*class="family-drawing".*?</svg>', page, re.DOTALL)
    assert f'href="{address(lyra)}"' in tree
    assert f'href="{lyra.dam.get_absolute_url()}"' in tree


# -------------------------------------------------------------------------- pictures over time


def test_pictures_stand_in_the_order_of_their_days_with_age_and_width(owner):
    lyra = cast.female("Lyra", pure="motoro", born_on=day("2024-01-01"))
    for on, width in (("2024-01-10", 100), ("2024-07-01", 250), ("2025-07-01", 400)):
        animals.add_measurement(lyra, by=None, on=day(on), disc_width_mm=width)
    late, early = pictured(lyra, "2025-07-05"), pictured(lyra, "2024-01-11")
    between, undated = pictured(lyra, "2025-01-01"), pictured(lyra, None)
    found = pictured_over_time(lyra)
    assert [one.photograph for one in found] == [early, between, late, undated]
    assert [one.age for one in found] == ["10 days", "12 months", "18 months", ""]
    assert [one.width_mm for one in (found[0], found[2], found[3])] == [100, 400, None]
    assert found[2].measured_on == day("2025-07-01")
    by_curve = found[1]
    assert by_curve.measured_on is None
    assert 250 < by_curve.least_mm <= by_curve.width_mm <= by_curve.most_mm < 400


def test_a_width_that_nobody_can_tell_is_not_guessed(owner):
    mira = cast.female("Mira")
    pictured(mira, "2025-01-01")
    (found,) = pictured_over_time(mira)
    assert (found.age, found.width_mm) == ("", None)


def test_pictures_two_chosen_stand_side_by_side_at_one_scale(owner, as_viewer):
    lyra = cast.female("Lyra", born_on=day("2024-01-01"))
    for on, width in (("2024-01-10", 100), ("2024-07-01", 250), ("2025-07-01", 400)):
        animals.add_measurement(lyra, by=None, on=day(on), disc_width_mm=width)
    shown = [pictured(lyra, on) for on in ("2024-01-10", "2024-07-01", "2025-07-01")]
    page = reverse("animals:pictures", args=[lyra.pk])
    chosen = as_viewer.get(page).context["chosen"]
    assert [(one.photograph, share) for one, share in chosen] == [(shown[0], 25), (shown[2], 100)]
    answer = as_viewer.get(page, {"left": shown[1].pk, "right": shown[2].pk})
    sides = [(one.photograph, share) for one, share in answer.context["chosen"]]
    assert sides == [(shown[1], 62), (shown[2], 100)]
    words = " ".join(answer.content.decode().split())
    assert "At one scale" in words
    assert "40.0 cm, measured" in words


@pytest.mark.parametrize("odd", ["nothing", "99999999999999999999", "-1", "\x00"])
def test_pictures_what_is_not_there_is_answered_with_the_first_and_the_last(owner, odd):
    lyra = cast.female("Lyra")
    one, other = pictured(lyra, "2024-01-01"), pictured(lyra, "2025-01-01")
    found = chosen_two(pictured_over_time(lyra), odd, odd)
    assert [side.photograph for side in found] == [one, other]
