"""What became of animals is offered, written down as chosen, and taken back with the file."""

from fractions import Fraction

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from breeding.animals.models import Animal, Measurement
from breeding.animals.services import add_measurement, change_state
from breeding.exchange.ancestry import read_word
from breeding.exchange.giving import Chosen, given_ancestry
from breeding.exchange.models import KnownAs, SaidOne
from breeding.exchange.said_one import say_one, take_back_one
from breeding.exchange.taking import bring_back_taken, planned, take, withdraw_taken
from breeding.program import clock
from tests import cast
from tests.exchange.given import PUBLIC, given_file, theirs
from tests.records.archive.loop import load, taken_out

pytestmark = pytest.mark.django_db
SIZES = (("2026-03-01", 210, 0), ("2026-04-01", 224, 900))


@pytest.fixture(autouse=True)
def _own_home(settings, tmp_path):
    settings.HOME = tmp_path


@pytest.fixture
def pup() -> Animal:
    """K3, known by an earlier file."""
    content = given_file()
    take(read_word(content), content, "", by=None)
    return Animal.objects.get(code=f"K3-{PUBLIC[:4]}")


def later(**more) -> bytes:
    return given_file(on="2026-06-01", measured=SIZES, **more)


def test_nothing_travels_unless_it_is_chosen():
    vega = cast.female("Vega")
    pup = cast.ray("Lesath", dam=vega)
    add_measurement(vega, by=None, on=cast.day("2026-03-01"), disc_width_mm=300, weight_g=2500)
    change_state(vega, state="died", on=cast.day("2026-05-02"))

    def said(**more):
        word = read_word(given_ancestry([vega], Chosen(**more), on=clock.today()))
        (claim,) = (one for one in word.claims if one.identity == word.about[0])
        return claim.measured, claim.died, len(word.claims)

    assert said() == ((), "", 1)
    everything = said(with_sizes=True, with_deaths=True, with_young=True)
    assert everything == ((("2026-03-01", 300, 2500),), "2026-05-02", 2)
    assert pup.dam == vega


def test_what_became_of_it_is_offered_and_written_only_when_chosen(pup, as_keeper):
    content = later(died="2026-05-20")
    word = read_word(content)
    offered = planned(word, "").updates
    assert [one.words.split(", ", 1)[-1] for one in offered[:2]] == [
        "Sun 1 Mar 2026: 210 mm wide",
        "Wed 1 Apr 2026: 224 mm wide, 900 g",
    ]
    assert offered[2].is_death
    page = as_keeper.post(reverse("exchange:take"), {"file": upload(content)})
    assert "What became of animals on record" in cast.words(page)
    sent = {
        "content": page.context["content"],
        "take": "1",
        "updates": [offered[1].mark, offered[2].mark],
    }
    as_keeper.post(reverse("exchange:take"), sent)
    pup.refresh_from_db()
    assert (pup.state, pup.state_on) == ("died", cast.day("2026-05-20"))
    assert [one.disc_width_mm for one in pup.measurements.all()] == [224]
    assert [one.words for one in planned(word, "").updates] == [offered[0].words]


def test_withdrawn_with_the_file_and_brought_back(pup):
    content = later(died="2026-05-20")
    word = read_word(content)
    marks = [one.mark for one in planned(word, "").updates]
    kept = take(word, content, "", by=None, updates=marks)
    withdraw_taken(kept, by=cast.keeper(), now=clock.now(), reason="a slip")
    pup.refresh_from_db()
    assert pup.state == "left"
    assert Measurement.objects.count() == 0
    kept.refresh_from_db()
    bring_back_taken(kept, word, "")
    pup.refresh_from_db()
    assert pup.state == "died"
    assert Measurement.objects.count() == 2


def test_what_cannot_be_is_said_with_its_name_and_nothing_is_written(pup):
    change_state(pup, state="died", on=cast.day("2026-03-15"))
    content = later()
    word = read_word(content)
    marks = [one.mark for one in planned(word, "").updates]
    with pytest.raises(ValidationError, match=r"224 mm wide, 900 g: .*died"):
        take(word, content, "", by=None, updates=marks)


def test_an_update_is_given_for_the_animals_of_a_file(pup, as_keeper):
    add_measurement(pup, by=None, on=cast.day("2026-03-01"), disc_width_mm=210)
    taken = KnownAs.objects.get(animal=pup).taken
    address = reverse("exchange:update", args=[taken.pk])
    assert "Tell what became of them" in cast.words(as_keeper.get(address))
    sent = {"generations": "1", "with_sizes": "on", "save": "1"}
    word = read_word(as_keeper.get(address, sent).content)
    assert word.claim_of(theirs("K3")).measured == (("2026-03-01", 210, 0),)


def upload(content):
    from django.core.files.uploadedfile import SimpleUploadedFile

    return SimpleUploadedFile("a.json", content, "application/json")


def test_two_that_are_one_share_young_and_names_until_it_is_taken_back(pup):
    """The founder K1 stands here as Old Sirius already, sire of Vega: both young are half sibs."""
    sirius = cast.ray("Sirius", sex="M", state="left", state_on=cast.day("2020-01-01"))
    vega = cast.ray("Vega", sire=sirius)
    k1 = pup.sire
    said = say_one(sirius, k1, reason="one picture", by=None, now=clock.now())
    pup.refresh_from_db()
    assert pup.sire == sirius == vega.sire
    assert KnownAs.objects.get(identity=theirs("K1")).animal == sirius
    assert planned(read_word(later()), "").known[theirs("K1")] == sirius
    take_back_one(said, by=cast.keeper(), now=clock.now(), reason="another fin")
    pup.refresh_from_db()
    assert pup.sire == k1
    assert KnownAs.objects.get(identity=theirs("K1")).animal == k1
    assert Animal.objects.filter(pk=k1.pk).exists()


def test_two_that_are_one_are_two_again_after_an_archive_was_loaded(pup, settings, tmp_path):
    """What was moved is kept by keys; an archive keeps these, with gaps where rows are gone."""
    Animal.objects.filter(pk=cast.ray("Gone").pk).delete()
    sirius = cast.ray("Sirius", sex="M", state="left", state_on=cast.day("2020-01-01"))
    vega = cast.ray("Vega")
    k1 = pup.sire
    cast.ray("Spica", possible_sires=((k1, Fraction(1, 2)), (sirius, Fraction(1, 4))))
    say_one(sirius, k1, reason="one picture", by=None, now=clock.now())
    load(taken_out(), settings, tmp_path / "home")
    said = SaidOne.objects.get()
    spica = Animal.objects.get(call_name="Spica")
    assert [one.share for one in spica.possible_sires.all()] == [Fraction(3, 4)]
    take_back_one(said, by=cast.keeper(), now=clock.now(), reason="another fin")
    pup.refresh_from_db()
    assert pup.sire == k1
    assert KnownAs.objects.get(identity=theirs("K1")).animal == k1
    assert Animal.objects.get(call_name="Vega") == vega
    shares = {one.sire: one.share for one in spica.possible_sires.all()}
    assert shares == {k1: Fraction(1, 2), sirius: Fraction(1, 4)}


def test_two_that_cannot_be_one_are_refused_in_words(pup, as_keeper):
    mira = cast.female("Mira")
    for kept, gone, said in (
        (mira, pup.sire, "One is a male and the other a female"),
        (pup, mira, "Mira is here"),
        (mira, mira, "These are not two animals"),
    ):
        sent = {"kept": kept.pk, "gone": gone.pk, "reason": "x"}
        page = cast.words(as_keeper.post(reverse("exchange:said_one"), sent))
        assert said in page
