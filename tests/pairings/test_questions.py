"""Evidence that contradicts the records is asked about on the day, and not reckoned with."""

import pytest
from django.urls import reverse

from breeding.agenda.models import Answer
from breeding.agenda.queries import the_day
from breeding.animals.models import Animal
from breeding.housing.models import Tank
from breeding.housing.services import move_animal
from breeding.litters.queries import likely_parents
from breeding.litters.services import PupFacts, record_birth
from breeding.pairings.season.questions import questions_of
from breeding.pairings.season.reading import season_of
from breeding.pairings.services import record_outcome, record_scan
from breeding.program import clock
from breeding.program.queries import the_program
from tests import cast
from tests.cast import ago, pair, see, words

pytestmark = pytest.mark.django_db


@pytest.fixture
def mira(owner):
    return cast.female("Mira", pure="motoro")


@pytest.fixture
def deneb(mira):
    return cast.male("Deneb", pure="motoro")


def season(female):
    return season_of(female, the_program(), asof=clock.today())


def asked(female):
    return [one.kind for one in questions_of(season(female))]


def on_the_day():
    return {line.kind.key: line for line in the_day(the_program(), today=clock.today()).lines}


def scan(female, days, positive=True):
    return record_scan(female=female, on=ago(days), positive=positive, today=clock.today(), by=None)


def test_marks_while_she_was_alone_are_asked_about_and_nothing_follows(mira, as_keeper):
    see(mira, 5, "fresh_bite_marks")
    assert season(mira).estimate.chance == 0
    line = on_the_day()["sign_alone"]
    assert line.what == "with whom was she?"
    assert line.why.startswith("Fresh bite marks on ")
    page = words(as_keeper.get(reverse("pairings:female", args=[mira.pk])))
    assert "on record no mature male could have reached Mira then" in page


def test_marks_seen_within_two_days_of_company_are_not_asked_about(mira, deneb):
    pair(mira, deneb, 20, 7)
    see(mira, 5, "fresh_bite_marks")
    assert asked(mira) == []
    assert [sign.kind for sign in season(mira).testimony.signs] == ["fresh_bite_marks"]
    see(mira, 4, "fresh_bite_marks")
    assert asked(mira) == ["sign_alone"]


def test_a_mating_seen_is_company_unless_records_put_her_in_a_tank_without_a_male(mira):
    see(mira, 5)
    assert season(mira).estimate.chance > 0.7
    assert asked(mira) == ["sign_alone"]
    move_animal(mira, Tank.objects.create(name="Pool"), on=ago(30), by=None)
    assert season(mira).estimate.chance == 0
    assert asked(mira) == ["sign_alone"]


def test_a_sign_that_names_a_male_makes_its_day_company_with_him(mira, deneb):
    see(mira, 5, "fresh_bite_marks", male=deneb)
    assert season(mira).exposed == [ago(5)]
    assert season(mira).sires == {deneb.pk: 1}
    assert asked(mira) == []


def test_a_named_male_who_left_her_long_before_is_asked_about(mira, deneb):
    pair(mira, deneb, 80, 55)
    before = season(mira).estimate.chance
    see(mira, 5, male=deneb)
    assert asked(mira) == ["sign_elsewhere"]
    assert season(mira).estimate.chance <= before
    assert on_the_day()["sign_elsewhere"].what == "with Deneb? The records say otherwise"


def test_a_named_male_in_other_water_or_gone_is_asked_about(mira, deneb):
    for animal, tank in ((mira, "Pool"), (deneb, "Bay")):
        move_animal(animal, Tank.objects.create(name=tank), on=ago(30), by=None)
    see(mira, 5, male=deneb)
    assert asked(mira) == ["sign_elsewhere"]
    rigel = cast.male("Rigel", state=Animal.State.LEFT, state_on=ago(50))
    see(mira, 4, male=rigel)
    assert len(questions_of(season(mira))) == 2


def test_one_answered_is_asked_again_when_another_such_sign_is_seen(mira):
    see(mira, 5, "fresh_bite_marks")
    Answer.objects.create(key=on_the_day()["sign_alone"].key)
    assert "sign_alone" not in on_the_day()
    see(mira, 4, "fresh_bite_marks")
    assert "sign_alone" in on_the_day()


def test_a_scan_that_saw_pups_without_company_makes_a_season_of_its_own(mira, as_keeper):
    """Bought pregnant: the company before is not known back to 110 + 2 x 10 days."""
    scan(mira, 10)
    found = season(mira)
    assert (found.unknown[0], found.unknown[-1]) == (ago(140), ago(11))
    assert found.estimate.chance > 0.75
    assert found.state_words.endswith("; pregnant on arrival or company missing")
    assert "hardly" not in found.state_words
    assert "scan_unexplained" in on_the_day()
    assert found.sires == {}


def test_a_scan_that_company_explains_is_not_asked_about(mira, deneb):
    pair(mira, deneb, 80, 60)
    scan(mira, 10)
    assert (asked(mira), season(mira).unknown) == ([], [])


def test_never_hardly_pregnant_beside_seen_pups(mira):
    record_birth(dam=mira, born_on=ago(20), pups=[PupFacts()], today=clock.today(), by=None)
    scan(mira, 10)
    found = season(mira)
    assert found.estimate.chance < 0.2
    assert found.state_words.startswith("pups seen, not explained by the records (")


def test_a_scan_on_the_day_of_the_birth_belongs_to_the_season_that_ended(mira, deneb):
    pair(mira, deneb, 130, 100)
    scan(mira, 10)
    birth = record_birth(dam=mira, born_on=ago(10), pups=[PupFacts()], today=clock.today(), by=None)
    assert season(mira).scans == ()
    ended = season_of(mira, the_program(), asof=ago(10), until=birth.outcome)
    assert [one.on for one in ended.scans] == [ago(10)]


def test_not_pregnant_just_before_a_birth_is_asked_about_and_keeps_the_sires(mira, deneb):
    pair(mira, deneb, 130, 100)
    record_outcome(female=mira, on=ago(30), kind="not_pregnant", today=clock.today(), by=None)
    assert likely_parents(mira, the_program(), asof=ago(1)).sire == deneb
    record_birth(dam=mira, born_on=ago(1), pups=[PupFacts()], today=clock.today(), by=None)
    assert asked(mira) == ["not_pregnant_then_birth"]
    assert "gave birth 29 days later" in on_the_day()["not_pregnant_then_birth"].why


def test_not_pregnant_long_before_a_birth_is_believed(mira, deneb):
    record_outcome(female=mira, on=ago(130), kind="not_pregnant", today=clock.today(), by=None)
    record_birth(dam=mira, born_on=ago(1), pups=[PupFacts()], today=clock.today(), by=None)
    assert asked(mira) == []


def test_days_on_loan_are_days_of_which_nobody_knows_her_company(mira):
    mira.state, mira.state_on = Animal.State.ON_LOAN, ago(60)
    mira.save()
    see(mira, 0, "off_food")
    found = season(mira)
    assert len(found.unknown) == 61
    assert 0.15 < found.estimate.chance < 0.25


def test_whoever_answers_a_line_about_her_has_looked_at_her(mira, deneb):
    pair(mira, deneb, 10)
    Answer.objects.create(key=f"separate_by:{mira.pk}:2026-01-01")
    assert season(mira).looked == (clock.today(),)
