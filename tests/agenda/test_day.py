"""The day: every line says for whom, what and why, keeps its answer, and comes back on its day."""

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from breeding.agenda.forms import AnswerForm
from breeding.agenda.models import Answer
from breeding.agenda.queries import the_day
from breeding.agenda.services import answer_line
from breeding.animals.models import Animal
from breeding.animals.services import add_measurement
from breeding.buyers.models import Contact, Reservation
from breeding.housing.models import Tank
from breeding.housing.services import move_animal
from breeding.litters.services import PupFacts, record_birth
from breeding.pairings.services import record_scan
from breeding.program import clock
from breeding.program.queries import the_program
from tests import cast
from tests.agenda.season import ahead
from tests.cast import ago, pair, see, words

pytestmark = pytest.mark.django_db

DAY, ANSWER = reverse("agenda:day"), reverse("agenda:answer")


@pytest.fixture
def mira(owner):
    return cast.female("Mira", pure="motoro")


@pytest.fixture
def deneb(owner):
    return cast.male("Deneb", pure="motoro")


def mated(female, male, days, *, apart=True):
    """Together for two days, mating seen on both."""
    pair(female, male, days + 1, days if apart else None)
    see(female, days + 1, male=male)
    see(female, days, male=male)


def lines(today=None):
    """As a page reckons them: by the program's clock on the wall."""
    program = the_program()
    with timezone.override(program.zone):
        return the_day(program, today=today or clock.today()).lines


def line(kind):
    (found,) = [one for one in lines() if one.kind.key == kind]
    return found


# ------------------------------------------------------------------------------ kinds of lines


def test_bite_marks_of_severity_three_say_separate_now(mira, deneb):
    pairing = pair(mira, deneb, 20)
    see(mira, 0, "fresh_bite_marks", severity=3)
    found = line("separate_now")
    assert (found.who, found.what, found.urgency) == ("Mira", "separate from Deneb now", "now")
    assert "njury of severity 3" in found.why
    assert "Move the male or close the divider" in found.why
    assert [(act.words, act.route, act.argument) for act in found.acts] == [
        ("Deneb is apart", "pairings:separate", pairing.pk)
    ]


def test_marks_of_severity_two_say_nothing(mira, deneb):
    pair(mira, deneb, 2)
    see(mira, 0, "fresh_bite_marks", severity=2)
    assert not [one for one in lines() if one.kind.key == "separate_now"]


def test_refused_food_with_a_male_says_separate_now(mira, deneb):
    pair(mira, deneb, 2)
    see(mira, 0, "off_food")
    assert "ff her food" in line("separate_now").why


def test_one_that_is_bred_is_to_be_separated_soon(mira, deneb):
    mated(mira, deneb, 5, apart=False)
    found = line("separate_bred")
    assert (found.what, found.urgency) == ("separate from Deneb, she is bred", "soon")
    assert "mating seen with Deneb on" in found.why


def test_with_two_males_there_is_an_act_for_each(mira, deneb):
    pair(mira, cast.male("Altair"), 6)
    mated(mira, deneb, 5, apart=False)
    found = line("separate_bred")
    assert [act.words for act in found.acts] == ["Altair is apart", "Deneb is apart"]
    assert found.what == "separate from Altair and Deneb, she is bred"


def test_the_deadline_before_the_window_says_separate_at_the_latest(mira, deneb):
    mated(mira, deneb, 85, apart=False)
    found = line("separate_by")
    assert found.what == "separate from Deneb at the latest"
    assert "14 days of rest before it" in found.why


def test_a_window_that_comes_near_asks_for_a_nursery_and_for_watching(mira, deneb):
    mated(mira, deneb, 90)
    nursery, watch = line("nursery_by"), line("watch_from")
    assert nursery.what == "make a nursery ready"
    assert "Due" in nursery.why
    assert [(act.route, act.argument) for act in nursery.acts] == [
        ("pairings:nursery", mira.pk),
        ("housing:index", None),
    ]
    assert watch.what == "watch daily for pups"
    assert [(act.words, act.address) for act in watch.acts] == [
        ("She has pups", reverse("litters:birth", args=[mira.pk])),
        ("Log a sighting", f"{reverse('pairings:log')}?female={mira.pk}"),
    ]


def test_a_window_that_is_far_asks_for_nothing(mira, deneb):
    mated(mira, deneb, 20)
    assert lines() == []


def test_one_past_her_window_asks_for_the_birth_or_how_it_ended(mira, deneb):
    mated(mira, deneb, 140)
    found = line("overdue")
    assert (found.what, found.urgency) == ("past her window", "now")
    assert "needs an aquatic veterinarian" in found.why
    assert [act.words for act in found.acts] == ["She has pups", "Not pregnant, lost"]


def test_long_company_without_a_birth_asks_whether_one_was_missed(mira, deneb):
    pair(mira, deneb, 400)
    found = line("long_without_birth")
    assert "no birth on record" in found.why
    assert [act.route for act in found.acts] == ["litters:birth", "pairings:outcome"]


def test_a_middling_chance_asks_for_a_scan_and_no_more_once_there_was_one(mira, deneb):
    pair(mira, deneb, 75, 55)
    found = line("settle")
    assert found.what == "a scan could tell"
    assert [act.words for act in found.acts] == ["Write down a scan"]
    record_scan(female=mira, on=clock.today(), positive=False, today=clock.today(), by=None)
    assert not [one for one in lines() if one.kind.key == "settle"]


def birth(dam, days, *pups):
    return record_birth(
        dam=dam, born_on=ago(days), pups=pups or (PupFacts(),), today=clock.today(), by=None
    )


def test_a_fresh_litter_asks_to_be_looked_after(mira):
    litter = birth(mira, 2, PupFacts(), PupFacts(), PupFacts(alive=False))
    found = line("pups_on_the_floor")
    assert "2 pups of Mira, 2 days old" in found.why
    assert [(act.route, act.argument) for act in found.acts] == [
        ("litters:after", litter.pk),
        ("litters:weigh", litter.pk),
        ("litters:detail", litter.pk),
    ]


def test_a_litter_that_was_born_dead_asks_for_nothing(mira):
    birth(mira, 2, PupFacts(alive=False))
    assert lines() == []


def test_pups_that_are_large_enough_ask_who_stays(mira):
    birth(mira, 50, PupFacts(), PupFacts())
    pup = Animal.objects.filter(dam=mira).first()
    add_measurement(pup, by=None, on=ago(1), disc_width_mm=135)
    found = line("ready_to_leave")
    assert (found.what, found.urgency) == ("decide who stays", "later")
    assert f"1 of 2 pups is old and large enough to leave: {pup.name}." in found.why


def test_a_reservation_that_runs_out_asks_whether_it_stands(mira):
    contact = Contact.objects.create(name="Ida")
    Reservation.objects.create(animal=mira, contact=contact, reserved_on=ago(20), until=ahead(3))
    found = line("reservation")
    assert (found.what, found.urgency) == ("reserved for Ida", "soon")
    kept = Reservation.objects.get()
    assert [(act.words, act.argument) for act in found.acts] == [
        ("Hand it over", mira.pk),
        ("Reserve it longer", kept.pk),
        ("Let it go", ("reservation", kept.pk)),
        ("Open the buyer", contact.pk),
    ]


def test_a_tank_that_says_otherwise_than_the_pairings_is_pointed_out(mira, deneb):
    """She shares a tank with a male for a week, and no pairing is on record."""
    tank = Tank.objects.create(name="Boathouse pool")
    for animal in (mira, deneb):
        move_animal(animal, tank, on=ago(7), by=None)
    found = line("company_unrecorded")
    assert (found.urgency, found.who) == ("soon", "Mira")
    assert found.what == "and Deneb together: no pairing on record"
    assert "no pairing is on record" in found.why
    assert [(act.route, act.argument) for act in found.acts] == [
        ("pairings:new", None),
        ("housing:move", deneb.pk),
    ]
    assert AnswerForm({"key": found.key}).is_valid()


def test_what_does_most_harm_comes_first_whatever_its_day(mira, deneb):
    mated(mira, deneb, 90)
    mated(cast.female("Vega", pure="motoro"), deneb, 140)
    ranks = [one.kind.rank for one in lines()]
    assert ranks == sorted(ranks)
    assert len(set(ranks)) > 1
    assert lines()[0].who == "Vega"


# ------------------------------------------------------------------------------------- answers


def test_a_key_stays_the_same_as_days_pass(mira, deneb):
    """ "Bred" stands for the day of reckoning, which moves; its answer must be found again."""
    mated(mira, deneb, 30, apart=False)
    keys = {
        one.key for day in (20, 10, 0) for one in lines(ago(day)) if one.kind.key == "separate_bred"
    }
    assert keys == {f"separate_bred:{mira.pk}:{ago(31)}"}


def test_every_key_is_one_the_form_takes(mira, deneb):
    mated(mira, deneb, 90)
    birth(cast.female("Vega"), 2)
    contact = Contact.objects.create(name="Ida")
    Reservation.objects.create(animal=mira, contact=contact, reserved_on=ago(20), until=ahead(3))
    found = [one.key for one in lines()]
    assert len(found) == 6
    assert all(AnswerForm({"key": key}).is_valid() for key in found)
    assert len(set(found)) == len(found)


def test_answer_done_takes_the_line_away_and_keeps_who_and_why(as_keeper, mira, deneb):
    mated(mira, deneb, 140)
    key = line("overdue").key
    page = words(
        as_keeper.post(ANSWER, {"key": key, "done": "1", "note": "Seen by a vet"}, follow=True)
    )
    assert "Marked done: " in page
    assert "Answered (1)" in page
    assert "Mira, past her window: done, Seen by a vet" in page
    assert lines() == []
    assert Answer.objects.get().recorded_by.username == "sam"


def test_answer_put_off_comes_back_on_its_day(as_keeper, mira, deneb):
    mated(mira, deneb, 140)
    key = line("overdue").key
    sent = {"key": key, "later": "1", "put_off_until": ahead(3).isoformat()}
    assert "Put off: " in words(as_keeper.post(ANSWER, sent, follow=True))
    assert lines() == []
    assert lines(ahead(2)) == []
    assert [one.key for one in lines(ahead(3))] == [key]


def test_answer_done_wins_over_the_day_that_stands_in_the_form(as_keeper, mira, deneb):
    mated(mira, deneb, 140)
    as_keeper.post(
        ANSWER,
        {"key": line("overdue").key, "done": "1", "put_off_until": ahead(1).isoformat()},
    )
    assert Answer.objects.get().put_off_until is None


def test_a_later_answer_wins_over_an_earlier_one(mira, deneb):
    mated(mira, deneb, 140)
    key = line("overdue").key
    answer_line(key, by=None, today=clock.today())
    answer_line(key, by=None, today=clock.today(), put_off_until=ahead(1))
    assert [one.key for one in lines(ahead(1))] == [key]


def test_a_fresh_wound_is_asked_about_again(mira, deneb):
    pair(mira, deneb, 20)
    see(mira, 5, "fresh_bite_marks", severity=3)
    answer_line(line("separate_now").key, by=None, today=clock.today())
    assert not [one for one in lines() if one.kind.key == "separate_now"]
    see(mira, 0, "fresh_bite_marks", severity=4)
    answer_line(line("separate_now").key, by=None, today=clock.today())
    see(mira, 0, "fresh_bite_marks", severity=3)  # another one on the same day
    assert line("separate_now")


@pytest.mark.parametrize("days", [0, -1, -1000])
def test_nothing_is_put_off_to_a_day_that_has_come(owner, days):
    with pytest.raises(ValidationError, match="is not later than today"):
        answer_line("overdue:1:x", by=None, today=clock.today(), put_off_until=ahead(days))


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        ({"later": "1"}, "“Key” is empty"),
        ({"key": "", "done": "1"}, "“Key” is empty"),
        ({"key": "nothing", "done": "1"}, "“nothing” is not possible for “Key”"),
        ({"key": "overdue:<b>", "done": "1"}, "“overdue:&lt;b&gt;” is not possible"),
        ({"key": "overdue:\x00", "done": "1"}, "holds a character that cannot be read (a null)"),
        ({"key": "x:" + "1" * 200, "done": "1"}, "at most 120 characters"),
        ({"key": "overdue:1:x", "later": "1"}, "Choose the day on which to be asked again."),
        ({"key": "overdue:1:x", "put_off_until": "soon"}, "“soon” is not possible for"),
        ({"key": "overdue:1:x", "put_off_until": "2001-01-01"}, "is not later than today"),
        ({"key": "overdue:1:x", "done": "1", "note": "x" * 301}, "at most 300 characters"),
    ],
)
def test_answer_that_cannot_be_kept_says_why(as_keeper, sent, said):
    answer = as_keeper.post(ANSWER, sent)
    assert answer.status_code == 422
    assert said in words(answer)
    assert not Answer.objects.exists()


def test_answer_is_posted_and_not_by_viewers(as_keeper, as_viewer):
    assert as_keeper.get(ANSWER).status_code == 405
    assert as_viewer.post(ANSWER, {"key": "overdue:1:x", "done": "1"}).status_code == 403


# ---------------------------------------------------------------------------------------- page


def test_day_of_a_new_program_says_what_to_do_first(as_keeper):
    page = words(as_keeper.get(DAY))
    for said in ("Write down the first animal", "Bring in a table", "Write down a tank"):
        assert said in page
    assert "Nothing is pressing. No animal is here." in page


def test_day_without_lines_says_so(as_keeper, mira):
    page = words(as_keeper.get(DAY))
    assert "Nothing asks for you today." in page
    assert "Write down the first animal" not in page


def test_day_shows_line_reason_act_season_and_what_was_seen(as_keeper, mira, deneb):
    mated(mira, deneb, 140)
    page = words(as_keeper.get(DAY))
    assert "One thing now. 2 animals here, 1 female expected to be pregnant." in page
    assert "past her window" in page
    assert "needs an aquatic veterinarian" in page
    assert reverse("litters:birth", args=[mira.pk]) in page
    assert "<svg" in page
    assert "mating" in page.split("Seen lately")[1]
    assert f"{reverse('pairings:log')}?female={mira.pk}" in page


def test_day_shows_viewers_the_lines_and_no_button(as_viewer, mira, deneb):
    mated(mira, deneb, 140)
    page = words(as_viewer.get(DAY))
    assert "past her window" in page
    assert ANSWER not in page
    assert "Seen something?" not in page


def test_day_asks_the_same_questions_with_ten_more_females_in_season(as_keeper, mira, deneb):
    def grow(number):
        female = cast.female(f"Star {number}", pure="motoro")
        mated(female, deneb, 90 + number)
        birth(cast.female(f"Moon {number}"), 3, PupFacts(disc_width_mm=90), PupFacts())

    def questions():
        with CaptureQueriesContext(connection) as asked:
            assert as_keeper.get(DAY).status_code == 200
        return len(asked)

    grow(20)
    questions()  # the first visit after a change reads the lineage once
    before = questions()
    for number in range(10):
        grow(number)
    questions()
    assert questions() <= before < 65  # every room is asked


def test_of_many_males_with_her_some_are_named_and_one_button_leads_to_all(mira):
    tank = Tank.objects.create(name="Pool")
    for animal in (mira, *(cast.male(f"Male {n}") for n in range(8))):
        move_animal(animal, tank, on=ago(30), by=None)
    see(mira, 1, "fresh_bite_marks", severity=3)
    acts = line("separate_now").acts
    assert len(acts) == 7
    assert (acts[-1].words, acts[-1].route) == ("All 8 males with her", "pairings:female")
    assert line("separate_now").what.endswith("Male 5 and 2 more now")
