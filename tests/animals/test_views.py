"""Pages of the animals' room: what is shown, what is refused, and how many questions it takes."""

from fractions import Fraction
from io import BytesIO
from pathlib import Path

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from PIL import Image

from breeding.animals.models import Animal
from breeding.animals.services import add_photograph
from tests import cast

pytestmark = pytest.mark.django_db


def form_data(**changes):
    plain = {
        "call_name": "Mira",
        "sex": "F",
        "origin": "wild",
        "state": "here",
        "state_on": "",
        "born": "",
        "markings": "",
        "note": "",
        "strain": "",
        "sire": "",
        "dam": "",
    }
    return plain | changes


def test_index_before_the_first_animal_says_what_to_do(as_keeper):
    page = as_keeper.get(reverse("animals:index")).content.decode()
    assert "No animal is on record yet." in page
    assert "Write down the first animal" in page


def test_index_narrows_by_name_sex_species_and_state(as_keeper):
    cast.female("Mira", pure="motoro")
    cast.male("Deneb", pure="leopoldi")
    cast.female("Vega", pure="motoro", state="died", state_on=cast.day("2026-01-01"))
    index = reverse("animals:index")

    def names(query):
        page = as_keeper.get(f"{index}?{query}").content.decode()
        return [name for name in ("Mira", "Deneb", "Vega") if f">{name}</a>" in page]

    motoro = cast.species("motoro").pk
    assert names("") == ["Mira", "Deneb"]
    assert names("q=mir") == ["Mira"]
    assert names("sex=M") == ["Deneb"]
    assert names(f"species={motoro}&state=all") == ["Mira", "Vega"]
    assert names("state=died") == ["Vega"]


@pytest.mark.parametrize(
    "query",
    [
        "sex=Q",
        "species=99999999999999999999",
        "state=gone",
        "page=-7",
        "page=x",
        "sort=-nothing",
        "q=%00",
        "sort=inbreeding",
        "sort=-born",
    ],
)
def test_index_takes_any_query(as_keeper, query):
    cast.female("Mira")
    assert as_keeper.get(f"{reverse('animals:index')}?{query}").status_code == 200


def test_index_asks_the_same_questions_with_ten_more_animals(as_keeper):
    cast.female("Mira", pure="motoro")

    def questions():
        with CaptureQueriesContext(
            connection,
        ) as asked:
            as_keeper.get(reverse("animals:index"))
        return len(asked)

    before = questions()
    for number in range(10):
        cast.ray(f"Star {number}", pure="motoro")
    questions()  # the first visit after a change reads the lineage once
    assert questions() <= before < 20


def test_new_writes_down_a_founder_with_the_programs_code(as_keeper):
    motoro = cast.species("motoro")
    answer = as_keeper.post(
        reverse("animals:new"),
        form_data(species_1=motoro.pk, species_share_1="3/4", born="2021-05"),
    )
    mira = Animal.objects.get(call_name="Mira")
    assert answer.status_code == 302
    assert (mira.code, mira.born_precision, mira.born_on.isoformat()) == (
        "001",
        "month",
        "2021-05-01",
    )
    assert [row.share for row in mira.species_shares.all()] == [Fraction(3, 4)]
    page = as_keeper.get(mira.get_absolute_url()).content.decode()
    assert "3/4 P. motoro, 1/4 unknown" in page
    assert "May 2021" in page


def test_new_keeps_what_was_typed_and_says_what_is_wrong(as_keeper):
    page = as_keeper.post(reverse("animals:new"), form_data(born="next year")).content.decode()
    assert "“next year” is not a birth date" in page
    assert 'value="next year"' in page
    assert 'value="Mira"' in page


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("2024-02-30", "is not a day of the calendar"),
        ("2999", "is still to come"),
        ("1822-01-01", "is too long ago"),
        ("٢٠٢٤", "2024"),
    ],
)
def test_new_refuses_an_impossible_birth_date_by_name(as_keeper, typed, said):
    answer = as_keeper.post(reverse("animals:new"), form_data(born=typed))
    assert answer.status_code in (200, 302)
    if answer.status_code == 200:
        assert said in answer.content.decode()


def test_edit_refuses_impossible_parents_with_their_names(as_keeper):
    mira = cast.female("Mira", born_on=cast.day("2024-01-01"), born_precision="day")
    pup = cast.male("Izar", dam=mira)
    page = as_keeper.post(
        reverse("animals:edit", args=[mira.pk]),
        form_data(call_name="Mira", sire=pup.pk, born="2024-01-01"),
    ).content.decode()
    assert "Izar descends from Mira" in page


def test_edit_keeps_several_possible_sires_with_their_shares(as_keeper):
    dam, one, other = cast.female("Mira"), cast.male("Deneb"), cast.male("Altair")
    pup = cast.ray("Izar", dam=dam)
    as_keeper.post(
        reverse("animals:edit", args=[pup.pk]),
        form_data(
            call_name="Izar",
            sex="U",
            dam=dam.pk,
            possible_sire_1=one.pk,
            possible_share_1="3/4",
            possible_sire_2=other.pk,
            possible_share_2="25 %",
        ),
    )
    assert [(row.sire, row.share) for row in pup.possible_sires.all()] == [
        (one, Fraction(3, 4)),
        (other, Fraction(1, 4)),
    ]
    page = as_keeper.get(pup.get_absolute_url()).content.decode()
    assert "one of:" in page
    assert "(3/4)" in page


def test_detail_shows_inbreeding_with_how_much_is_known_and_why(as_keeper):
    vega = cast.female("Vega")
    sire, dam = cast.male("Deneb", dam=vega), cast.female("Mira", dam=vega)
    pup = cast.ray("Izar", sire=sire, dam=dam)
    page = as_keeper.get(pup.get_absolute_url()).content.decode()
    # Half siblings: F = 1/8 (Lange, Applied Probability, table 5.1); 4 known of 2 + 4 + 8.
    assert (
        "<strong>at least 12.5 % (1/8)</strong>, as close as half siblings, from 4 of 14 possible "
        "ancestors in three generations." in page
    )
    assert "Vega is the dam of both parents (12.5 %)." in page
    assert "<svg" in page


def test_detail_of_an_animal_with_an_evil_name_is_harmless(as_keeper):
    evil = cast.ray('<script>alert("x")</script>')
    page = as_keeper.get(evil.get_absolute_url()).content.decode()
    assert "<script>alert" not in page
    assert "&lt;script&gt;" in page


def test_measure_refuses_an_impossible_width_in_the_programs_unit(as_keeper):
    mira = cast.female("Mira")
    page = as_keeper.post(
        reverse("animals:measure", args=[mira.pk]), {"on": "2026-01-01", "disc_width_mm": "900"}
    ).content.decode()
    assert "900 cm is not possible here; allowed is 1 to 300 cm." in page
    assert mira.measurements.count() == 0


def test_measure_keeps_whole_millimetres(as_keeper):
    mira = cast.female("Mira")
    as_keeper.post(
        reverse("animals:measure", args=[mira.pk]),
        {"on": "2026-01-01", "disc_width_mm": "38.2", "condition": "3"},
    )
    assert [one.disc_width_mm for one in mira.measurements.all()] == [382]
    assert "38.2 cm" in as_keeper.get(mira.get_absolute_url()).content.decode()


def test_picture_is_served_only_to_those_signed_in(as_keeper, stranger, keeper):
    file = BytesIO()
    Image.new("RGB", (64, 48), "#806040").save(file, "JPEG")
    file.seek(0)
    photograph = add_photograph(cast.female("Mira"), file, by=keeper)
    address = reverse("animals:picture", args=[photograph.pk])
    answer = as_keeper.get(address)
    assert answer.headers["Content-Type"] == "image/jpeg"
    assert b"".join(answer.streaming_content)[:3] == b"\xff\xd8\xff"
    assert stranger.get(address).status_code == 302


def test_small_pictures_of_many_are_light(as_keeper, keeper):
    file = BytesIO()
    Image.effect_noise((900, 700), 90).convert("RGB").save(file, "JPEG")
    photograph = add_photograph(cast.female("Mira"), BytesIO(file.getvalue()), by=keeper)
    for route, side in (("animals:face", 96), ("animals:thumbnail", 192)):
        answer = as_keeper.get(reverse(route, args=[photograph.pk]))
        assert answer["Content-Type"] == "image/webp"
        assert Image.open(BytesIO(answer.content)).size == (side, side)
        assert answer.content == as_keeper.get(reverse(route, args=[photograph.pk])).content
    Path(photograph.thumbnail.path).write_bytes(b"no picture any more")
    assert as_keeper.get(reverse("animals:face", args=[photograph.pk])).status_code == 404


def test_photograph_refuses_what_is_no_picture(as_keeper):
    from django.core.files.uploadedfile import SimpleUploadedFile

    mira = cast.female("Mira")
    page = as_keeper.post(
        reverse("animals:photograph", args=[mira.pk]),
        {"file": SimpleUploadedFile("ray.jpg", b"not a picture"), "as_portrait": "on"},
    ).content.decode()
    assert "errorlist" in page
    assert mira.photographs.count() == 0


def test_state_of_an_animal_that_died_is_kept_with_its_day(as_keeper):
    mira = cast.female("Mira")
    as_keeper.post(reverse("animals:state", args=[mira.pk]), {"state": "died", "on": "2026-03-01"})
    mira.refresh_from_db()
    assert (mira.state, mira.state_on.isoformat()) == ("died", "2026-03-01")


@pytest.mark.parametrize("day", ["9999-12-31", "0001-01-01"])
def test_a_day_of_death_to_come_or_long_ago_is_refused_and_kept_as_typed(as_keeper, day):
    mira = cast.female("Mira")
    said = "is too long ago" if day.startswith("0") else "is still to come"
    died = {"state": "died", "on": day}
    for page in (
        as_keeper.post(reverse("animals:state", args=[mira.pk]), died),
        as_keeper.post(reverse("animals:new"), form_data(state="died", state_on=day)),
    ):
        assert said in page.content.decode()
        assert f'value="{day}"' in page.content.decode()
    assert not Animal.objects.filter(state="died").exists()


def test_species_shows_each_figure_with_its_source(as_viewer):
    page = as_viewer.get(reverse("animals:species")).content.decode()
    assert "Potamotrygon motoro" in page
    assert "assumption" in page
    assert "Lesniak et al. 2013" in page


def test_a_viewer_may_not_write(as_viewer):
    assert as_viewer.get(reverse("animals:new")).status_code == 403
    assert as_viewer.post(reverse("animals:new"), form_data()).status_code == 403
    assert Animal.objects.count() == 0


def test_edit_refuses_one_animal_as_a_sire_and_as_a_dam(as_keeper):
    both = cast.ray("Izar")
    cast.ray("Mira", sire=both)
    other = cast.ray("Deneb")
    page = as_keeper.post(
        reverse("animals:edit", args=[other.pk]), form_data(call_name="Deneb", dam=both.pk)
    ).content.decode()
    assert "Izar is named as a dam, but on record Izar (" in page
    assert "is the sire of other animals; an animal is one or the other." in page


@pytest.mark.parametrize("share", ["1e999999999", "9" * 60 + "/1", "0", "-1/2", "3/0", "abc"])
def test_new_refuses_what_is_no_share_at_once(as_keeper, share):
    page = as_keeper.post(
        reverse("animals:new"),
        form_data(species_1=cast.species("motoro").pk, species_share_1=share),
    ).content.decode()
    assert "is not a share" in page or "at most 20 characters" in page
    assert Animal.objects.count() == 0


def test_detail_says_what_an_animal_is_by_descent_and_how_much_is_known(as_keeper):
    wild, other = (
        cast.male("Rigel", pure="motoro", origin="wild"),
        cast.female("Spica", pure="leopoldi"),
    )
    first = cast.female("Mira", sire=wild, dam=other)
    back = cast.ray("Izar", sire=cast.male("Altair", pure="motoro"), dam=first)
    page = as_keeper.get(back.get_absolute_url()).content.decode()
    assert "First backcross of P. motoro and P. leopoldi to P. motoro" in page
    assert "3/4 P. motoro and 1/4 P. leopoldi expected" in page
    assert "from the second generation on each pup of a litter differs" in page
    assert "of 100 animals bred like this about 95 have between 68 % and 82 % P. motoro." in page
    assert "4 of 14 possible ancestors in three generations are known; not known: " in page
    mother = as_keeper.get(first.get_absolute_url()).content.decode()
    assert "first generation in captivity" in mother
    assert "each pup of a litter differs" not in mother


def test_detail_gives_the_range_of_f_when_the_sire_is_uncertain(as_keeper):
    altair, rigel = cast.male("Altair"), cast.male("Rigel")
    mira = cast.female("Mira", sire=altair)
    half = Fraction(1, 2)
    pup = cast.ray("Izar", dam=mira, possible_sires=((altair, half), (rigel, half)))
    page = as_keeper.get(pup.get_absolute_url()).content.decode()
    # Father and daughter 1/4, unrelated 0 (Lange, Applied Probability, table 5.1): mean 1/8.
    assert "if the sire is Altair and 0 % if he is Rigel; 12.5 % (1/8) expected" in page


@pytest.mark.parametrize(
    ("born", "died", "said"),
    [
        (0, None, "born today"),
        (27, None, "27 days old"),
        (900, None, "2 years old"),
        (900, 890, "lived 10 days"),
        (20, 20, "died on the day of its birth"),
    ],
)
def test_detail_says_how_old_an_animal_is_or_became(as_keeper, born, died, said):
    rigel = cast.male("Rigel", born_on=cast.ago(born), born_precision="day")
    if died is not None:
        Animal.objects.filter(pk=rigel.pk).update(state="died", state_on=cast.ago(died))
    page = cast.words(as_keeper.get(rigel.get_absolute_url()))
    assert f"({said})" in page
    assert ("Pair him" in page) == (died is None)


def test_detail_names_no_age_of_one_that_died_on_a_day_nobody_knows(as_keeper):
    rigel = cast.male("Rigel", born_on=cast.ago(900), born_precision="day")
    Animal.objects.filter(pk=rigel.pk).update(state="died", state_on=None)
    assert "2 years old" not in cast.words(as_keeper.get(rigel.get_absolute_url()))
