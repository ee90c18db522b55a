"""Sizes and pictures that hardly follow from an animal's own history are asked about once."""

import re

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from breeding.animals.services import add_measurement, add_photograph, change_state
from breeding.program import clock
from breeding.program.problems.doubts import DoubtError
from tests import cast
from tests.everything import picture

pytestmark = pytest.mark.django_db

DAY = cast.day("2026-05-01")


@pytest.fixture
def lyra(owner):
    return cast.female("Lyra", born_on=cast.day("2026-03-20"))


def measure(animal, on, **figures):
    return add_measurement(animal, by=None, on=cast.day(on), **figures)


def asked(animal, on, **figures):
    """What is asked about a size; it is kept once that is answered, and not before."""
    before = animal.measurements.count()
    with pytest.raises(DoubtError) as doubtful:
        measure(animal, on, **figures)
    assert animal.measurements.count() == before
    measure(animal, on, sure={one.mark for one in doubtful.value.doubts}, **figures)
    assert animal.measurements.count() == before + 1
    return doubtful.value.messages


def test_a_pup_does_not_grow_two_centimetres_in_three_days(lyra):
    measure(lyra, "2026-05-01", disc_width_mm=121)
    assert asked(lyra, "2026-05-04", disc_width_mm=142) == [
        "Disc width 14.2 cm on 4 May 2026 stands against 12.1 cm on 1 May 2026: 2.1 cm of growth "
        "in 3 days."
    ]


def test_growth_within_the_reading_error_and_two_millimetres_a_day_is_kept(lyra):
    measure(lyra, "2026-05-01", disc_width_mm=121)
    measure(lyra, "2026-05-04", disc_width_mm=132)  # 3 days of 2 mm, and 5 mm of error
    asked(lyra, "2026-05-05", disc_width_mm=140)


def test_an_older_size_entered_late_stands_against_the_one_after_it(lyra):
    measure(lyra, "2026-05-04", disc_width_mm=142)
    assert asked(lyra, "2026-05-01", disc_width_mm=121) == [
        "Disc width 12.1 cm on 1 May 2026 stands against 14.2 cm on 4 May 2026: 2.1 cm of growth "
        "in 3 days."
    ]


def test_a_disc_does_not_shrink_by_more_than_two_readings_differ(lyra):
    measure(lyra, "2026-05-01", disc_width_mm=142)
    measure(lyra, "2026-05-02", disc_width_mm=137)
    assert asked(lyra, "2026-05-20", disc_width_mm=121) == [
        "Disc width 12.1 cm on 20 May 2026 stands against 13.7 cm on 2 May 2026: no animal shrinks "
        "by 1.6 cm."
    ]


def test_a_large_disc_is_read_three_per_cent_apart():
    mira = cast.female("Mira")
    measure(mira, "2026-05-01", disc_width_mm=600)
    measure(mira, "2026-06-01", disc_width_mm=582)
    asked(mira, "2026-07-01", disc_width_mm=560)


def test_a_weight_does_not_double_or_halve_in_days(lyra):
    measure(lyra, "2026-05-01", weight_g=60)
    measure(lyra, "2026-05-08", weight_g=119)
    assert asked(lyra, "2026-05-12", weight_g=40) == [
        "Weight 40 g on 12 May 2026 stands against 119 g on 8 May 2026: 3.0 times less in 4 days."
    ]
    measure(lyra, "2026-06-20", weight_g=110)


def test_42_grams_beside_42_centimetres_is_another_unit():
    mira = cast.female("Mira")
    assert asked(mira, "2026-05-01", disc_width_mm=420, weight_g=42) == [
        "A weight of 42 g does not go with a disc width of 42.0 cm: about 3.32 kg would be usual. "
        "Is one of the two in another unit?"
    ]
    assert measure(cast.male("Altair"), "2026-05-01", disc_width_mm=420, weight_g=3320)


def test_a_weight_stands_against_the_width_of_these_weeks_and_not_of_last_year():
    mira = cast.female("Mira")
    measure(mira, "2025-05-01", disc_width_mm=150)
    measure(mira, "2026-05-01", weight_g=3300)
    assert "disc width of 42.0 cm" in asked(mira, "2026-05-20", disc_width_mm=420, weight_g=90)[-1]
    altair = cast.male("Altair")
    measure(altair, "2026-05-01", disc_width_mm=420)
    assert "about 3.32 kg" in asked(altair, "2026-05-20", weight_g=42)[0]


def test_a_size_of_a_day_unknown_stands_against_nothing_but_itself(lyra):
    measure(lyra, "2026-05-01", disc_width_mm=121)
    kept = add_measurement(lyra, by=None, on=None, disc_width_mm=400)
    assert (kept.on, str(kept)) == (None, "Lyra on a day unknown")
    with pytest.raises(DoubtError):
        add_measurement(lyra, by=None, on=None, disc_width_mm=400, weight_g=42)


def test_nothing_is_measured_after_death_or_before_there_were_records(lyra):
    change_state(lyra, state="died", on=DAY)
    measure(lyra, "2026-05-01", disc_width_mm=121)
    for on, said in (
        ("2026-05-02", "2 May 2026 is after Lyra died (1 May 2026)."),
        ("2026-03-19", "19 March 2026 is before Lyra was born"),
        ("0201-05-01", "is too long ago; the earliest year is 1950."),
    ):
        with pytest.raises(ValidationError) as refused:
            measure(lyra, on, disc_width_mm=122)
        assert said in refused.value.message_dict["on"][0]


def test_a_size_after_it_left_is_asked_about_for_the_buyer_may_have_told_it(lyra):
    change_state(lyra, state="left", on=DAY)
    assert asked(lyra, "2026-05-02", disc_width_mm=122) == [
        "2 May 2026 is after Lyra left (1 May 2026)."
    ]


def portray(animal, taken_on, **more):
    return add_photograph(animal, picture(), by=None, taken_on=cast.day(taken_on), **more)


@pytest.mark.parametrize(
    ("taken_on", "said"),
    [
        ("0201-05-01", "0201-05-01 is too long ago; the earliest year is 1950."),
        ("2035-05-01", "1 May 2035 is still to come; today or before."),
    ],
)
def test_a_picture_of_the_year_201_or_2035_is_refused(lyra, taken_on, said):
    with pytest.raises(ValidationError) as refused:
        portray(lyra, taken_on, today=DAY)
    assert refused.value.message_dict == {"taken_on": [said]}


def test_a_picture_before_birth_or_after_death_is_asked_about(lyra):
    with pytest.raises(DoubtError) as before:
        portray(lyra, "2026-03-19")
    assert before.value.messages == ["19 March 2026 is before Lyra was born (20 March 2026)."]
    change_state(lyra, state="died", on=DAY)
    with pytest.raises(DoubtError) as after:
        portray(lyra, "2026-05-02")
    assert after.value.messages == ["2 May 2026 is after Lyra died (1 May 2026)."]
    assert lyra.photographs.count() == 0
    portray(lyra, "2026-05-02", sure={one.mark for one in after.value.doubts})
    assert lyra.photographs.count() == 1


# ------------------------------------------------------------------------------------- the pages


def box(page):
    """What the box of a page answers."""
    return re.search(r'name="sure" value="([^"]+)"', page.content.decode())[1]


def test_the_page_asks_once_and_keeps_it_with_the_tick(as_keeper, lyra):
    measure(lyra, "2026-05-01", disc_width_mm=121)
    address = reverse("animals:measure", args=[lyra.pk])
    sent = {"on": "2026-05-04", "disc_width_mm": "14,2"}
    page = as_keeper.post(address, sent)
    assert "2.1 cm of growth in 3 days." in cast.words(page)
    assert 'value="14,2"' in cast.words(page)
    assert lyra.measurements.count() == 1
    changed = as_keeper.post(address, sent | {"disc_width_mm": "15,2", "sure": box(page)})
    assert "3.1 cm of growth in 3 days." in cast.words(changed)
    assert lyra.measurements.count() == 1
    assert as_keeper.post(address, sent | {"sure": box(page)}).status_code == 302
    assert lyra.measurements.first().disc_width_mm == 142


def test_the_page_takes_a_size_of_a_day_that_is_not_known(as_keeper, lyra):
    address = reverse("animals:measure", args=[lyra.pk])
    assert as_keeper.post(address, {"on": "", "disc_width_mm": "14,2"}).status_code == 302
    assert lyra.measurements.get().on is None
    page = cast.words(as_keeper.get(lyra.get_absolute_url()))
    assert "day unknown" in page


def test_the_page_refuses_a_size_after_death_beside_its_day(as_keeper, lyra):
    change_state(lyra, state="died", on=DAY)
    sent = {"on": "2026-05-02", "disc_width_mm": "12", "sure": "everything"}
    page = cast.words(as_keeper.post(reverse("animals:measure", args=[lyra.pk]), sent))
    assert "2 May 2026 is after Lyra died (1 May 2026)." in page
    assert lyra.measurements.count() == 0


def test_the_page_of_pictures_refuses_and_asks(as_keeper, lyra):
    address = reverse("animals:photograph", args=[lyra.pk])

    def send(taken_on, **more):
        file = SimpleUploadedFile("ray.jpg", picture().getvalue(), "image/jpeg")
        return as_keeper.post(address, {"file": file, "taken_on": taken_on, **more})

    assert "is too long ago; the earliest year is 1950." in cast.words(send("0201-05-01"))
    tomorrow = cast.ago(-1, clock.today())
    assert "is still to come; today or before." in cast.words(send(f"{tomorrow}"))
    page = send("2026-03-19")
    assert "19 March 2026 is before Lyra was born" in cast.words(page)
    assert lyra.photographs.count() == 0
    assert send("2026-03-19", sure=box(page)).status_code == 302
    assert lyra.photographs.count() == 1
