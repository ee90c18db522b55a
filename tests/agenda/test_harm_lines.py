"""Wounds and refused food on the day until they are over, whoever it is and whoever is near."""

import pytest
from django.urls import reverse

from breeding.agenda.queries import the_day
from breeding.agenda.services import answer_line
from breeding.animals.services import change_state
from breeding.pairings.models import Sighting, SignKind
from breeding.program import clock
from tests import cast
from tests.cast import ago, pair, see, words

pytestmark = pytest.mark.django_db
HARM = ("look_again", "look_again_light", "off_food")
LOG = reverse("pairings:log")


def lines(days_ahead=0):
    found = the_day(cast.the_program(), today=ago(-days_ahead)).lines
    return [one for one in found if one.kind.key in HARM]


def kind(key):
    return SignKind.objects.get(key=key).pk


@pytest.fixture
def mira(owner):
    return cast.female("Mira")


@pytest.mark.parametrize("is_separated", [True, False])
def test_a_wounded_female_stays_on_the_day_until_her_marks_are_seen_healed(mira, is_separated):
    pair(mira, cast.male("Deneb"), 30, 20 if is_separated else None)
    see(mira, 21, "fresh_bite_marks", severity=3)
    (line,) = lines()
    assert (line.who, line.what, line.urgency) == ("Mira", "look at the marks again", "now")
    assert "severity 3, open at the last look" in line.why
    assert "Look every day, until there is none to be seen." in line.why
    see(mira, 1, "healing_marks", severity=2)
    assert lines() == []  # the next look is tomorrow
    assert "At the worst: severity 3." in lines(1)[0].why
    see(mira, 0, "healing_marks", severity=0)
    assert lines(30) == []


@pytest.mark.parametrize(
    ("severity", "due_after", "urgency"),
    [(None, 1, "now"), (1, 7, "soon"), (2, 2, "now"), (3, 1, "now"), (4, 1, "now")],
)
def test_how_bad_it_was_says_how_soon_to_look_again(mira, severity, due_after, urgency):
    see(mira, 0, "fresh_bite_marks", severity=severity)
    assert lines(due_after - 1) == []
    assert [one.urgency for one in lines(due_after)] == [urgency]


def test_an_answer_holds_until_the_next_look_is_due(mira):
    see(mira, 1, "fresh_bite_marks", severity=4)
    (line,) = lines()
    answer_line(line.key, by=None, today=clock.today())
    assert (lines(), len(lines(1))) == ([], 1)


def test_anybody_off_food_is_asked_about_until_eating_again(owner):
    deneb, pup = cast.male("Deneb"), cast.ray("Little", born_on=ago(60))
    for one in (deneb, pup):
        see(one, 1, "off_food")
    assert sorted(one.who for one in lines()) == ["Deneb", "Little"]
    see(deneb, 0, "eats_again")
    assert [one.who for one in lines(3)] == ["Little"]


def test_nobody_that_is_gone_is_looked_at_again(mira):
    see(mira, 2, "fresh_bite_marks", severity=4)
    change_state(mira, state="died", on=ago(1))
    assert lines() == []


def test_marks_ask_how_bad_and_not_sure_is_an_answer(as_keeper, mira):
    sent = {"female": mira.pk, "kind": kind("fresh_bite_marks")}
    said = "Say how bad the marks are, or that you are not sure."
    assert said in words(as_keeper.post(LOG, sent))
    assert not Sighting.objects.exists()
    as_keeper.post(LOG, sent | {"severity": "unsure"})
    assert Sighting.objects.get().severity is None
    assert "nobody said how bad" in lines(1)[0].why


def test_a_male_and_a_pup_can_be_observed_but_not_a_sign_between_two(as_keeper, mira):
    deneb, pup = cast.male("Deneb"), cast.ray("Little", born_on=ago(60))
    for one in (deneb, pup):
        as_keeper.post(LOG, {"female": one.pk, "kind": kind("off_food")})
        assert "Off food" in words(as_keeper.get(one.get_absolute_url()))
    assert Sighting.objects.count() == 2
    refused = words(as_keeper.post(LOG, {"female": deneb.pk, "kind": kind("copulation")}))
    assert "“Mating” is written down of the female: choose her, and name Deneb" in refused
    day = words(as_keeper.get(reverse("agenda:day")))
    assert f'<a href="{deneb.get_absolute_url()}">Deneb</a>' in day
    assert as_keeper.get(reverse("pairings:sightings")).status_code == 200


def test_the_log_page_finds_whoever_is_called_so(as_keeper, mira):
    cast.male("Deneb")
    cast.male("Altair")
    page = words(as_keeper.get(LOG, {"q": "dene"}))
    assert "<b>Deneb</b>" in page
    assert "<b>Altair</b>" not in page
    assert "Nobody here is called “zzz”." in words(as_keeper.get(LOG, {"q": "zzz"}))


def test_fourteen_females_at_less_than_even_are_watched_and_counted(owner):
    """41 % each: none of them is likely, and about six of them give birth."""
    deneb, program = cast.male("Deneb", pure="motoro"), cast.the_program()
    females = [cast.female(f"Star {number}", pure="motoro") for number in range(14)]
    for one in females:
        pair(one, deneb, 112, 93)
    day = the_day(program, today=clock.today())
    chances = [one.estimate.announced_chance for one in day.seasons]
    assert len(chances) == 14
    assert all(0.2 <= one < 0.5 for one in chances)
    about = round(sum(chances))
    assert f"and perhaps 14 more: by their chances, about {about} of those." in day.lede
    found = [one for one in day.lines if one.kind.key == "perhaps_due"]
    assert len(found) == 14
    assert all("Look every day for pups" in one.why for one in found)


def test_log_a_sighting_is_not_offered_on_the_dead(as_keeper, mira):
    deneb = cast.male("Deneb")
    pages = [one.get_absolute_url() for one in (mira, deneb)]
    pages.append(reverse("pairings:female", args=[mira.pk]))
    link = "Log a sighting</a>"
    count = [words(as_keeper.get(page)).count(link) for page in pages]
    for one in (mira, deneb):
        change_state(one, state="died", on=ago(0))
    gone = [words(as_keeper.get(page)).count(link) for page in pages]
    assert [before - after for before, after in zip(count, gone, strict=True)] == [1, 1, 1]
