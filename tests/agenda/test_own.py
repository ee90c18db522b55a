"""Reminders that somebody sets: set, done with one tap, put off, put right, hidden, erased."""

import pytest
import time_machine
from auditlog.models import LogEntry
from django.core.exceptions import ValidationError
from django.db import IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from breeding.agenda.models import Answer, Reminder
from breeding.agenda.own.acts import change_reminder, mark_done, set_reminder
from breeding.agenda.own.queries import with_answers
from breeding.agenda.queries import all_ahead, seen_by, the_day
from breeding.agenda.sent.feed_events import summary_of
from breeding.agenda.services import answer_line, change_answer
from breeding.animals.models import Animal
from breeding.buyers import erasing, services
from breeding.housing.models import Tank
from breeding.program import clock
from breeding.program.services import withdraw
from tests import cast
from tests.cast import words

pytestmark = pytest.mark.django_db
MONDAY = cast.day("2026-11-30")


@pytest.fixture(autouse=True)
def _today():
    with time_machine.travel("2026-11-30 12:00:00Z", tick=False):
        yield


def vet(on=MONDAY, text="ring the vet", **facts):
    return set_reminder(text=text, on=on, by=None, today=MONDAY, **facts)


def lines(today=MONDAY):
    found = the_day(cast.the_program(), today=today).lines
    return [one for one in found if one.kind.key.startswith("reminder")]


def ahead(today=MONDAY):
    found = all_ahead(cast.the_program(), today=today)
    return [one for one in found if one.kind.key.startswith("reminder")]


def test_it_stands_on_its_day_and_not_before_and_in_the_calendar_at_once(owner):
    vet(on=cast.day("2026-12-02"), tank=Tank.objects.create(name="Pool"))
    assert lines() == []
    assert [(summary_of(one), str(one.on)) for one in ahead()] == [
        ("Pool: ring the vet", "2026-12-02")
    ]
    (line,) = lines(cast.day("2026-12-02"))
    assert (line.who, line.what, line.urgency, line.rank) == ("Pool", "ring the vet", "now", 9)
    (late,) = lines(cast.day("2026-12-03"))
    assert (late.key, late.rank) == (line.key, 8)


def test_three_taps_from_an_animals_page_set_it(as_keeper):
    mira = cast.female("Mira")
    page = words(as_keeper.get(mira.get_absolute_url()))
    address = f"{reverse('agenda:remind')}?animal={mira.pk}"
    assert address in page
    form = as_keeper.get(address).context["form"]
    assert (str(form["animal"].value()), form["when"].value()) == (
        str(mira.pk),
        cast.day("2026-12-01"),
    )
    sent = {"text": "ring the vet", "when": "2026-12-07", "animal": mira.pk}
    assert as_keeper.post(address, sent).url == mira.get_absolute_url()
    kept = Reminder.objects.get()
    assert (kept.text, str(kept.on), kept.animal, kept.every_days) == (
        "ring the vet",
        "2026-12-07",
        mira,
        None,
    )
    assert "ring the vet" in words(as_keeper.get(mira.get_absolute_url()))


@pytest.mark.parametrize(
    ("sent", "field", "said"),
    [
        ({"text": ""}, "text", "required"),
        ({"text": "x", "on": "2026-11-29"}, "on", "is past; choose today or a later day"),
        ({"text": "x", "on": "2126-11-29"}, "on", "more than 10 years ahead"),
        ({"text": "x"}, "when", "Choose the day"),
        ({"text": "x", "on": "2026-12-01", "every_days": "0"}, "every_days", "1"),
        ({"text": "x", "on": "2026-12-01", "every_days": "1001"}, "every_days", "1000"),
        ({"text": "x", "when": "2026-11-01"}, "when", "is past"),
    ],
)
def test_what_is_wrong_is_said_beside_its_field(as_keeper, sent, field, said):
    answer = as_keeper.post(reverse("agenda:remind"), sent)
    assert answer.status_code == 422
    assert said in str(answer.context["form"].errors[field])
    assert not Reminder.objects.exists()


def test_it_is_about_one_thing_or_none(as_keeper):
    tank, mira = Tank.objects.create(name="Pool"), cast.female("Mira")
    sent = {"text": "x", "when": "2026-12-07", "animal": mira.pk, "tank": tank.pk}
    answer = as_keeper.post(reverse("agenda:remind"), sent)
    assert "It is about Mira and Pool; a reminder is about one of them." in words(answer)
    with pytest.raises(IntegrityError), transaction.atomic():
        Reminder.objects.create(text="x", on=MONDAY, animal=mira, tank=tank)


def test_done_with_one_tap_it_asks_no_more_and_is_undone(as_keeper):
    vet()
    (line,) = lines()
    page = as_keeper.get(reverse("agenda:day")).content.decode()
    assert f'name="key" value="{line.key}"' in page
    answer = as_keeper.post(reverse("agenda:answer"), {"key": line.key, "done": "1"}, follow=True)
    assert "Done: ring the vet." in words(answer)
    assert Reminder.objects.get().done_on == MONDAY
    assert not Answer.objects.exists()
    assert lines() == []
    assert ahead() == []


def test_what_comes_again_asks_again_by_itself(as_keeper):
    vet(every_days=7)
    (line,) = lines()
    answer = as_keeper.post(reverse("agenda:answer"), {"key": line.key, "done": "1"}, follow=True)
    assert "It asks again on Mon 7 Dec 2026." in words(answer)
    assert [str(one.on) for one in ahead()] == ["2026-12-07"]
    assert ahead()[0].series == line.series
    assert [one.key for one in lines(cast.day("2026-12-07"))] == [ahead()[0].key]


def test_done_twice_on_an_old_page_is_said_and_written_once(owner):
    vet(every_days=7)
    (line,) = lines()
    mark_done(line.key, today=MONDAY)
    with pytest.raises(ValidationError, match="It was done on 30 November 2026 meanwhile"):
        mark_done(line.key, today=cast.day("2026-12-01"))
    assert Reminder.objects.get().done_on == MONDAY


def test_done_long_before_its_day_says_that_its_day_is_to_be_changed(owner):
    kept = vet(on=cast.day("2026-12-14"), every_days=7)
    with pytest.raises(ValidationError, match="Change its day instead"):
        mark_done(with_answers([kept])[0].key, today=MONDAY)
    assert Reminder.objects.get().done_on is None


def test_it_is_put_off_and_the_list_says_so(as_keeper):
    vet()
    (line,) = lines()
    sent = {"key": line.key, "put_off_until": "2026-12-03", "note": "she is away", "later": "1"}
    as_keeper.post(reverse("agenda:answer"), sent)
    assert lines() == []
    assert [str(one.on) for one in ahead()] == ["2026-12-03"]
    assert "3 Dec 2026 (in 3 days), put off" in words(as_keeper.get(reverse("agenda:own")))
    (again,) = lines(cast.day("2026-12-03"))
    assert str(again.asked_again_on) == "2026-12-03"


def test_an_answer_that_puts_it_off_does_not_become_a_second_truth_of_done(owner):
    vet()
    (line,) = lines()
    answer = answer_line(line.key, by=None, today=MONDAY, put_off_until=cast.day("2026-12-03"))
    with pytest.raises(ValidationError, match="done by its own button"):
        change_answer(answer, put_off_until=None, today=MONDAY)


def test_done_is_put_right_by_taking_its_day_out(owner):
    kept = vet(every_days=7)
    (line,) = lines()
    kept = mark_done(line.key, today=MONDAY)
    facts = {"text": kept.text, "on": kept.on, "every_days": 7}
    facts |= {"animal": None, "tank": None, "contact": None}
    change_reminder(kept, **facts, done_on=None, today=MONDAY)
    assert [one.key for one in lines()] == [line.key]
    with pytest.raises(ValidationError, match="has not come yet"):
        change_reminder(kept, **facts, done_on=cast.day("2026-12-01"), today=MONDAY)


def test_of_an_animal_that_died_it_asks_whether_it_is_needed(owner):
    mira = cast.female("Mira")
    vet(animal=mira)
    mira.state, mira.state_on = Animal.State.DIED, MONDAY
    mira.save()
    (line,) = lines()
    assert line.why.startswith("Mira died: is it still needed?")
    assert [one.words for one in line.acts] == ["Not needed any more"]


def test_of_a_tank_that_was_given_up_it_asks_whether_it_is_needed(owner):
    tank = Tank.objects.create(name="Pool")
    vet(tank=tank)
    withdraw(tank, by=owner, now=clock.now(), reason="sold")
    assert lines()[0].why.startswith("Pool was given up: is it still needed?")


def test_one_about_a_contact_is_read_by_who_may_see_buyers(viewer, as_viewer, as_owner, owner):
    kim = services.add_contact(by=owner, name="Kim Lund")
    vet(contact=kim, text="ask Kim Lund about the pup")
    (line,) = ahead()
    assert summary_of(line) == "Reminder: about a contact"
    assert "Kim" not in line.why
    assert seen_by(owner, [line]) == [line]
    assert seen_by(viewer, [line]) == []
    for page in (reverse("agenda:day"), reverse("agenda:own"), reverse("records:chronicle")):
        assert "Kim" not in words(as_viewer.get(page))
    assert "ask Kim Lund" in words(as_owner.get(reverse("agenda:own")))
    assert "ask Kim Lund" in words(as_owner.get(kim.get_absolute_url()))
    mark_done(line.key, today=MONDAY)
    assert "Kim" not in words(as_viewer.get(reverse("records:chronicle")))
    assert "ask Kim Lund" in words(as_owner.get(reverse("records:chronicle")))


def test_a_contact_that_is_erased_takes_its_reminders_along(owner):
    kim = services.add_contact(by=owner, name="Kim Lund")
    vet(contact=kim, text="ask about her illness")
    erasing.erase_person(kim, by=owner, now=clock.now(), because="by letter")
    kept = Reminder.every.get()
    assert (kept.text, kept.withdrawn_reason) == ("erased", "erased")
    assert lines() == []
    history = LogEntry.objects.get_for_object(kept)
    assert "illness" not in str(list(history.values("changes", "object_repr")))


def test_the_chronicle_tells_that_it_was_done(as_keeper):
    mira = cast.female("Mira")
    vet(animal=mira)
    mark_done(lines()[0].key, today=MONDAY)
    for page in ("records:chronicle", "records:animal"):
        address = reverse(page, args=[mira.pk] if page == "records:animal" else [])
        assert "ring the vet" in words(as_keeper.get(address)).lower()


def test_the_day_asks_as_much_for_many_as_for_one(as_owner):
    def asked():
        with CaptureQueriesContext(connection) as queries:
            as_owner.get(reverse("agenda:day"))
        return len(queries)

    vet(animal=cast.female("Mira"))
    asked()
    one = asked()
    for number in range(10):
        vet(animal=cast.ray(f"Star {number}", "F"), text=f"look {number}", every_days=7)
    asked()
    assert asked() <= one
