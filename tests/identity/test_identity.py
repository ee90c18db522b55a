"""A picture of somebody: kept, its disc marked, held against everybody, told; and put right."""

import datetime
from io import BytesIO, StringIO

import numpy as np
import pytest
import time_machine
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import call_command
from django.urls import reverse
from PIL import Image

from breeding.agenda.queries import the_day
from breeding.animals import lineage
from breeding.animals.models import Species
from breeding.animals.pictures.portraits import read_picture
from breeding.animals.services import add_photograph, change_animal, change_state
from breeding.animals.species.profiles import all_profiles
from breeding.exchange.giving import Chosen, given_ancestry
from breeding.identity.alike import (
    alike_on_record,
    look_through,
    look_through_by_night,
    not_asked_yet,
    note_likeness,
)
from breeding.identity.models import PatternReading, SaidTwo, UntoldPicture
from breeding.identity.queries import _ages, answer_of, fresh_days, pattern_of, wanted
from breeding.identity.services import (
    keep_untold,
    mark_disc,
    tap_spot,
    tell_who,
    use_reading,
)
from breeding.identity.straight import place_in_frame, straight_jpeg
from breeding.identity.taps import against, read_taps
from breeding.program import clock
from breeding.program.acts.mending import change_address_of
from breeding.program.models import Act
from breeding.program.queries import the_program
from breeding.records.checking.everything import check_everything
from tests import cast
from tests.spots.rendered import View, invented, picture

pytestmark = pytest.mark.django_db
NAMES = ("Mira", "Vega", "Lesath")
CALM = View(tilt_degrees=8, ripple=0.01, taps=0.01, glare=0, shade=0.2, noise=3, missing=0)


@pytest.fixture(scope="module")
def painted():
    """Three invented rays, each with three pictures: two for the record, one to ask about."""
    random = np.random.default_rng(2026)
    rays = [invented(random, 40) for _ in range(4)]
    return [[picture(one, random, CALM) for _ in range(3)] for one in rays]


def as_file(image) -> BytesIO:
    kept = BytesIO()
    Image.fromarray(image).save(kept, "PNG")
    kept.seek(0)
    return kept


def taps(shot):
    return tuple((float(x), float(y)) for x, y in shot.points)


@pytest.fixture
def album(painted):
    """Three animals on record, two pictures each, their discs marked."""
    today, rays = clock.today(), []
    for name, shots in zip(NAMES, painted, strict=False):
        ray = cast.female(name)
        for shot, days in zip(shots[:2], (200, 40), strict=True):
            on = today - datetime.timedelta(days=days)
            kept = add_photograph(ray, as_file(shot.image), by=None, taken_on=on)
            mark_disc(kept, taps(shot))
        rays.append(ray)
    return rays


def asked(shot) -> UntoldPicture:
    today = clock.today()
    kept = keep_untold(read_picture(as_file(shot.image)), taken_on=today, today=today, by=None)
    mark_disc(kept, taps(shot))
    return kept


def test_a_ray_on_record_is_named_and_its_spots_are_joined(album, painted):
    for ray, shots in zip(album, painted, strict=False):
        untold = asked(shots[2])
        answer = answer_of(pattern_of(untold), untold.taken_on)
        assert answer.compared == 3
        assert answer.named is not None
        assert answer.named.animal == ray
        assert answer.named.reading.photograph.animal == ray
        assert len(answer.named.pairs) >= 15


def test_a_stranger_is_named_as_nobody_on_record(album, painted):
    untold = asked(painted[3][2])
    answer = answer_of(pattern_of(untold), untold.taken_on)
    assert answer.named is None
    assert answer.nobody > 0.5


def test_the_page_says_who_and_becomes_a_picture_of_it(album, painted, as_keeper):
    untold = asked(painted[1][2])
    page = cast.words(as_keeper.get(untold.get_absolute_url()))
    assert "Likely Vega: " in page
    assert "It is Vega" in page
    sent = {"animal": album[1].pk}
    answer = as_keeper.post(untold.get_absolute_url(), sent, follow=True)
    assert "The picture is one of Vega now." in cast.words(answer)
    untold.refresh_from_db()
    assert untold.became.animal == album[1]
    assert pattern_of(untold) is None
    assert pattern_of(untold.became).spots
    assert "It is Vega" in cast.words(as_keeper.get(untold.get_absolute_url()))


def test_a_picture_is_told_once(album, painted):
    untold = asked(painted[0][2])
    tell_who(untold, album[0], by=None, today=clock.today())
    with pytest.raises(ValidationError, match="It was said already: it is Mira"):
        tell_who(untold, album[1], by=None, today=clock.today())


def test_a_picture_with_the_wrong_animal_is_found(album, painted, as_keeper):
    today = clock.today()
    wrong = add_photograph(album[0], as_file(painted[1][2].image), by=None, taken_on=today)
    read = mark_disc(wrong, taps(painted[1][2]))
    page = cast.words(as_keeper.get(reverse("identity:compare", args=[read.pk])))
    assert "On record as Mira, and it looks like Vega: " in page


def test_spots_that_are_not_used_tell_nobody(album, painted):
    for read in PatternReading.objects.filter(photograph__animal=album[0]):
        use_reading(read, used=False)
    untold = asked(painted[0][2])
    assert answer_of(pattern_of(untold), untold.taken_on).compared == 2


def test_four_taps_on_the_picture_lead_to_its_spots(album, painted, as_keeper):
    shot = painted[0][2]
    sent = {"file": SimpleUploadedFile("net.png", as_file(shot.image).read(), "image/png")}
    answer = as_keeper.post(reverse("identity:who"), {**sent, "taken_on": clock.today()})
    untold = UntoldPicture.objects.get()
    address = reverse("identity:mark_untold", args=[untold.pk])
    assert answer["Location"] == address
    half = untold.width_px / 2  # as it is shown: half as wide as it is
    for x, y in taps(shot):
        further = "&" if "?" in address else "?"
        tapped_at = f"at.x={x / 2}&at.y={y / 2}&shown={half}"
        answer = as_keeper.get(f"{address}{further}{tapped_at}")
        assert answer.status_code == 302
        address = answer["Location"]
        page = cast.words(as_keeper.get(address))
    assert "Does the line lie on the rim of the disc?" in page
    tapped = read_taps(
        [part.split("=")[1].replace("%2C", ",") for part in address.split("?")[1].split("&")],
        width=untold.width_px,
        height=untold.height_px,
    )
    assert np.abs(np.array(tapped.taps) - shot.points).max() < 0.1


def test_places_that_are_refused_stay_as_they_were_typed(as_keeper, painted):
    today, shot = clock.today(), painted[0][0]
    untold = keep_untold(read_picture(as_file(shot.image)), taken_on=today, today=today, by=None)
    typed = ["300,5; 100", "about here", "99999, 3", "-4, 2"]
    address = reverse("identity:mark_untold", args=[untold.pk])
    page = as_keeper.get(address, {"tap": typed})
    assert "“about here” is no place on the picture" in cast.words(page)
    assert page.context["typed"] == typed
    assert '<details class="fold" open>' in page.content.decode()
    assert "Tap the edge of the disc on the left" not in cast.words(page)


def test_behind_a_semicolon_a_comma_is_a_decimal_mark():
    assert read_taps(["300,5; 100", "12;7,25", "120, 85"], width=400, height=400).taps == (
        (300.5, 100),
        (12, 7.25),
        (120, 85),
    )


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (["x", "1, 2"], "“x” is no place on the picture"),
        (["nan, 2"], "“nan, 2” is no place on the picture"),
        (["500, 2"], "The snout tip lies off the picture"),
        (["50,0", "0,50", "100,50", "50,100"], ""),
        (["50,0", "100,50", "0,50", "50,100"], "The taps are mirrored."),
        (["50,0", "40,50", "60,50", "50,100"], "The disc is 20 pixels wide"),
        (["0,0", "30,31", "80,80", "90,91"], "The four taps lie nearly on a line"),
    ],
)
def test_taps_that_cannot_be_are_said(typed, said):
    problem = read_taps(typed, width=400, height=400).problem
    assert problem.startswith(said) if said else not problem


def test_a_tap_takes_a_spot_away_and_adds_it_again(album):
    read = PatternReading.objects.first()
    number, (x, y, _) = len(read.spots), read.spots[0]
    assert tap_spot(read, x, y) is False
    read.refresh_from_db()
    assert len(read.spots) == number - 1
    assert read.is_corrected
    assert tap_spot(read, x, y) is True
    read.refresh_from_db()
    assert [round(x, 4), round(y, 4)] in [spot[:2] for spot in read.spots]
    with pytest.raises(ValidationError, match="off the disc"):
        tap_spot(read, 1.2, 0)


def test_a_tap_on_the_square_is_a_place_of_the_disc(album, as_keeper):
    read = PatternReading.objects.first()
    x, y, _ = read.spots[0]
    px, py = (170 * (1 + value / 1.15) for value in (x, y))
    assert place_in_frame(px, py, 340) == pytest.approx((x, y))
    answer = as_keeper.post(read.get_absolute_url(), {"at.x": px, "at.y": py, "shown": "340"})
    assert answer.status_code == 302
    assert len(PatternReading.objects.get(pk=read.pk).spots) == len(read.spots) - 1


def test_a_spot_taken_away_by_mistake_is_undone_at_once(album, as_keeper):
    read = PatternReading.objects.first()
    x, y, _ = read.spots[0]
    px, py = (170 * (1 + value / 1.15) for value in (x, y))
    as_keeper.post(read.get_absolute_url(), {"at.x": px, "at.y": py, "shown": "340"})
    undone = as_keeper.post(reverse("program:undo", args=[Act.objects.get().pk]))
    assert undone.status_code == 302
    assert PatternReading.objects.get(pk=read.pk).spots == read.spots


def test_the_straightened_disc_stands_upright_in_its_square():
    """A disc turned by a quarter: what was on its left, where the snout is, comes to the top."""
    image = np.zeros((200, 200, 3), np.uint8)
    image[:, :60] = 255
    taps_turned = [(20, 100), (100, 180), (100, 20), (180, 100)]
    assert against(taps_turned) == ""
    square = np.asarray(Image.open(BytesIO(straight_jpeg(as_file(image), taps_turned))))
    assert square.shape == (480, 480, 3)
    assert square[80:120].mean() > 240
    assert square[300:].mean() < 15


def test_an_identity_picture_that_is_old_is_wanted(album):
    today = clock.today()
    assert wanted(album, today) == []
    in_half_a_year = today + datetime.timedelta(days=190)
    later = today + datetime.timedelta(days=40 + 731)
    born = today - datetime.timedelta(days=300)
    album[0].born_on = born
    assert [one.animal for one in wanted(album, in_half_a_year)] == [album[0]]
    assert len(wanted(album, later)) == 3


@pytest.mark.parametrize(
    ("key", "grown", "young"), [("motoro", 1461, 180), ("jabuti", 365, 90), (None, 730, 180)]
)
def test_what_is_old_is_a_figure_of_the_species(key, grown, young):
    """By the file: motoro four years, jabuti one, an unknown one two; young ones sooner."""
    today = clock.today()
    one = cast.female("Mira", pure=key)
    figures = all_profiles().of(lineage.current().shares[one.pk])
    assert fresh_days(one, figures, today) == grown
    one.born_on = today - datetime.timedelta(days=400)
    assert fresh_days(one, figures, today) == young


def test_a_day_that_has_not_come_is_refused(painted):
    today = clock.today()
    with pytest.raises(ValidationError, match="has not come yet"):
        keep_untold(
            read_picture(as_file(painted[0][0].image)),
            taken_on=today + datetime.timedelta(days=1),
            today=today,
            by=None,
        )


def test_today_is_the_programs_own_where_the_day_has_begun_sooner(painted, as_keeper):
    """At 20:00 UTC on the 25th it is the 26th in Kiritimati (UTC+14)."""
    cast.the_program(time_zone="Pacific/Kiritimati")
    with time_machine.travel("2026-11-25 20:00:00Z", tick=False):
        untold = asked(painted[0][0])
        as_keeper.post(change_address_of(untold), {"taken_on": "2026-11-26", "note": "dim"})
        assert UntoldPicture.objects.get().taken_on == cast.day("2026-11-26")
        too_late = as_keeper.post(change_address_of(untold), {"taken_on": "2026-11-27"})
        assert "has not come yet" in cast.words(too_late)


def test_the_keeper_measures_how_often_pictures_are_known_again(album):
    out = StringIO()
    call_command("try_spots", stdout=out)
    assert out.getvalue().splitlines()[0] == "Known again, first of all: 6 of 6 (100 %)."
    PatternReading.objects.all().delete()
    call_command("try_spots", stdout=out)
    assert "there is nothing to try yet" in out.getvalue()


def test_who_asks_as_often_with_more_pictures(
    album, painted, as_keeper, django_assert_max_num_queries
):
    for _ in range(3):
        asked(painted[0][2])
    address = asked(painted[1][2]).get_absolute_url()
    as_keeper.get(address)
    with django_assert_max_num_queries(14):
        as_keeper.get(address)
    with django_assert_max_num_queries(14):
        as_keeper.get(reverse("identity:who"))


def test_a_picture_that_looks_like_another_animal_is_asked_about_on_the_day(album, painted):
    """Filed with Mira it looks like Vega; put right, or with Vega gone, nothing is asked."""
    today = clock.today()
    wrong = add_photograph(album[0], as_file(painted[1][2].image), by=None, taken_on=today)
    read = mark_disc(wrong, taps(painted[1][2]))
    note_likeness(read, clock.now())
    (found,) = alike_on_record()
    assert (found.animal, found.other) == (album[0], album[1])
    assert found.ruled_out == "Both are here."
    lines = [
        one for one in the_day(the_program(), today=today).lines if one.kind.key == "looks_like"
    ]
    assert [one.who for one in lines] == ["Mira"]
    change_state(album[1], state="left", on=today)
    assert "the two one animal, written down twice?" in alike_on_record()[0].words
    wrong.animal = album[1]
    wrong.save()
    assert alike_on_record() == []


def misfiled(album, painted):
    """A picture of Vega filed with Mira, of which nobody was asked."""
    wrong = add_photograph(album[0], as_file(painted[1][2].image), by=None, taken_on=clock.today())
    return mark_disc(wrong, taps(painted[1][2]))


def test_pictures_are_held_against_each_other_by_night(album, painted):
    """A few each minute, from one to five; each once, until it is read anew."""
    read = misfiled(album, painted)
    assert not_asked_yet().count() == 7
    noon = clock.now().replace(hour=12)
    look_through_by_night(noon)
    assert not_asked_yet().count() == 7
    look_through_by_night(noon.replace(hour=2))
    assert not_asked_yet().count() == 5
    (found,) = alike_on_record()
    assert (found.pattern, found.other) == (read, album[1])
    while look_through(2, clock.now()):
        pass
    assert [one.pattern for one in alike_on_record()] == [read]
    use_reading(read, used=True)
    assert not_asked_yet().get() == read


def test_that_they_are_two_is_said_once_and_kept(album, painted, as_keeper):
    misfiled(album, painted)
    look_through(1, clock.now())
    address = reverse("identity:alike")
    page = as_keeper.get(address)
    ((_, (likeness, drawn), _),) = page.context["rows"]
    assert likeness.animal == album[1]
    assert len(drawn.lines) > 10
    assert "looks like Vega. Both are here." in cast.words(page)
    assert "They are one animal" not in cast.words(page)
    assert "looks like Vega" in str(check_everything(clock.today()))
    change_state(album[1], state="left", on=clock.today())
    page = as_keeper.get(address)
    said = f"{reverse('exchange:said_one')}?kept={album[0].pk}&amp;gone={album[1].pk}"
    assert said in page.content.decode()
    for _ in range(2):
        as_keeper.post(address, {"one": album[1].pk, "other": album[0].pk})
    two = SaidTwo.objects.get()
    assert (two.one, two.other) == (album[0], album[1])
    assert alike_on_record() == []
    two.withdrawn_at = clock.now()
    two.save()
    assert len(alike_on_record()) == 1


def test_a_picture_of_the_right_animal_asks_nothing(album, painted):
    right = add_photograph(album[1], as_file(painted[1][2].image), by=None, taken_on=clock.today())
    note_likeness(mark_disc(right, taps(painted[1][2])), clock.now())
    assert alike_on_record() == []


def test_an_old_picture_tells_less_in_a_species_whose_pattern_changes(album):
    pure = {Species.objects.get(key="jabuti"): 1}
    change_animal(album[0], species_shares=pure)
    ages = _ages([one.pk for one in album])
    assert ages[album[0].pk] == pytest.approx(7305 / 1461)
    assert ages[album[1].pk] == pytest.approx(1)


def test_a_picture_is_held_against_the_spots_of_a_signed_sheet(album, painted, as_keeper, settings):
    """The file carries the spots of Mira; her picture of today is hers, and Vega's is not."""
    content = given_ancestry([album[0]], Chosen(generations=0), on=clock.today())
    for shot, said in ((painted[0][2], "It is likely "), (painted[1][2], "It is hardly ")):
        pattern = pattern_of(asked(shot))
        file = SimpleUploadedFile("a.json", content, "application/json")
        page = as_keeper.post(reverse("exchange:prove", args=[pattern.pk]), {"file": file})
        assert said in cast.words(page)
        assert "This is the key of this program." in cast.words(page)
    bad = SimpleUploadedFile("a.json", content[:-3], "application/json")
    page = as_keeper.post(reverse("exchange:prove", args=[pattern.pk]), {"file": bad})
    assert "no ancestry as this program writes it" in cast.words(page)
