"""What was recorded of females put right: everything that reckons follows, and comes back."""

import datetime

import pytest
import time_machine
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from breeding.animals.models import Photograph
from breeding.animals.services import add_photograph
from breeding.housing.models import Stay, Tank
from breeding.housing.services import move_animal
from breeding.pairings.care import services as care
from breeding.pairings.mending import corrections
from breeding.pairings.models import Outcome, Pairing
from breeding.pairings.season.reading import season_of
from breeding.pairings.services import record_outcome, record_scan, separate, withdraw_outcome
from breeding.program import clock
from breeding.program.acts.mending import address_of, change_address_of
from breeding.program.models import Act
from breeding.program.queries import the_program
from breeding.program.services import withdraw
from tests import cast
from tests.cast import ago, pair, see, words
from tests.everything import picture

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _today():
    with time_machine.travel("2026-11-25 12:00:00Z", tick=False):
        yield


@pytest.fixture
def deneb():
    return cast.male()


@pytest.fixture
def mira():
    return cast.female()


@pytest.fixture
def vega():
    return cast.female("Vega")


def season(female):
    return season_of(female, the_program(), asof=clock.today())


def reckoned(female):
    """The whole answer of a season, to hold against another."""
    found = season(female)
    said = [(one.heading, one.on, one.reason) for one in found.actions]
    est = found.estimate
    return est.chance, est.announced_chance, est.announced, est.due, found.since, said


def chance(female) -> float:
    return season(female).estimate.chance


def now() -> datetime.datetime:
    return clock.now()


def gone(record, reason="It was Izar"):
    return withdraw(record, by=None, now=now(), reason=reason)


def changed(pairing, **other) -> Pairing:
    names = ("introduced_on", "separated_on", "separation_planned_on", "moved", "moved_to")
    kept = {name: getattr(pairing, name) for name in (*names, "separation_note", "reason", "note")}
    facts = {**kept, **other}
    return corrections.change_pairing(pairing, **facts, program=the_program(), today=clock.today())


def change_seen(sighting, **other):
    names = ("female", "kind", "seen_at", "male", "severity", "note")
    kept = {name: getattr(sighting, name) for name in names}
    return corrections.change_sighting(sighting, **{**kept, **other}, by=None, now=now())


class TestSightings:
    def test_of_another_female_the_chance_moves_to_her(self, mira, vega, deneb):
        for female in (mira, vega):
            pair(female, deneb, 40, 30)
        low = chance(vega)
        assert chance(mira) == low
        seen = see(mira, 35)
        high = chance(mira)
        assert high > low + 0.1
        change_seen(seen, female=vega)
        assert chance(mira) == low
        assert chance(vega) == high

    def test_another_day_moves_her_window_and_back_again(self, mira, deneb):
        pair(mira, deneb, 60, 30)
        seen = see(mira, 50)
        before, was_at = reckoned(mira), seen.seen_at
        change_seen(seen, seen_at=was_at + datetime.timedelta(days=10))
        later = season(mira).estimate.announced.p50 - before[2].p50
        assert datetime.timedelta(days=7) < later <= datetime.timedelta(days=10)
        change_seen(seen, seen_at=was_at)
        assert reckoned(mira) == before

    def test_its_photograph_goes_to_the_female_that_was_seen(self, mira, vega):
        seen = see(mira, 3, photograph=SimpleUploadedFile("a.jpg", picture().getvalue()))
        mira.portrait = seen.photograph
        mira.save()
        change_seen(seen, female=vega)
        mira.refresh_from_db()
        assert Photograph.objects.get().animal == vega
        assert mira.portrait is None

    def test_a_picture_that_is_shown_for_another_stays_where_it_is(self, mira, vega):
        seen = see(mira, 3)
        shown = add_photograph(mira, picture(), by=None, taken_on=ago(3))
        change_seen(seen, female=vega, without_photograph=True)
        shown.refresh_from_db()
        assert (shown.animal, seen.photograph) == (mira, None)

    def test_what_could_not_be_logged_cannot_be_changed_to(self, mira, deneb):
        seen = see(mira, 3)
        for wrong, words_of_it in (
            ({"female": deneb}, "is written down of the female"),
            ({"seen_at": now() + datetime.timedelta(days=1)}, "still to come"),
        ):
            with pytest.raises(ValidationError, match=words_of_it):
                change_seen(seen, **wrong)

    def test_brought_back_it_says_exactly_what_it_said(self, mira, deneb):
        pair(mira, deneb, 40, 30)
        seen = see(mira, 35)
        before = reckoned(mira)
        gone(seen)
        assert reckoned(mira) != before
        corrections.bring_back_sighting(seen, now=now())
        assert reckoned(mira) == before

    def test_seen_to_the_second_stays_so_when_something_else_is_changed(self, as_keeper, mira):
        at = timezone.now().replace(second=41) - datetime.timedelta(days=1)
        seen = see(mira, at)
        shown = at.strftime("%Y-%m-%dT%H:%M")
        sent = {"female": mira.pk, "kind": seen.kind_id, "seen_at": shown, "note": "by the pump"}
        as_keeper.post(change_address_of(seen), sent)
        seen.refresh_from_db()
        assert (seen.seen_at, seen.note) == (at, "by the pump")


class TestSeparations:
    def test_taken_back_their_company_goes_on(self, mira, deneb):
        pairing = pair(mira, deneb, 40, 30)
        assert season(mira).together_since is None
        changed(pairing, separated_on=None)
        assert season(mira).together_since == ago(40)
        assert pairing.is_open

    def test_taken_back_nothing_is_said_of_how_they_were_parted(self, mira, deneb):
        pairing = pair(mira, deneb, 40)
        separate(pairing, on=ago(30), today=clock.today(), moved="male", note="bitten")
        changed(pairing, separated_on=None)
        assert (pairing.moved, pairing.moved_to, pairing.separation_note) == ("", None, "")

    def test_the_page_says_that_nobody_is_moved_back(self, as_keeper, mira, deneb):
        pool, bay = (Tank.objects.create(name=name) for name in ("Pool", "Bay"))
        for one in (mira, deneb):
            move_animal(one, pool, on=ago(50), by=None)
        pairing = pair(mira, deneb, 40)
        separate(pairing, on=ago(30), today=clock.today(), moved="male", tank=bay)
        page = words(as_keeper.get(change_address_of(pairing)))
        assert (
            "Where they were moved on 26 October 2026 stays as it is: correct the stays of Deneb "
            "too if that is wrong." in page
        )
        changed(pairing, separated_on=None)
        assert Stay.objects.get(animal=deneb, until=None).tank == bay

    def test_not_taken_back_while_they_are_together_again(self, mira, deneb):
        first = pair(mira, deneb, 40, 30)
        pair(mira, deneb, 10)
        with pytest.raises(ValidationError, match="recorded as together from 15 November 2026"):
            changed(first, separated_on=None)

    def test_not_taken_back_of_one_that_died(self, mira, deneb):
        pairing = pair(mira, deneb, 40, 30)
        deneb.state, deneb.state_on = "died", ago(5)
        deneb.save()
        with pytest.raises(ValidationError, match="Deneb died on 20 November 2026"):
            changed(pairing, separated_on=None)

    def test_before_they_were_put_together_is_refused_at_its_field(self, mira, deneb):
        with pytest.raises(ValidationError) as refused:
            changed(pair(mira, deneb, 40, 30), separated_on=ago(50))
        assert list(refused.value.message_dict) == ["separated_on"]


class TestBroughtBack:
    def test_a_pairing_restores_the_season_exactly(self, mira, deneb):
        pairing = pair(mira, deneb, 40, 30)
        see(mira, 35)
        before = reckoned(mira)
        gone(pairing)
        assert reckoned(mira) != before
        corrections.bring_back_pairing(pairing)
        assert reckoned(mira) == before

    def test_a_pairing_in_whose_time_another_of_the_two_stands_is_named(
        self, as_keeper, mira, deneb
    ):
        pairing = pair(mira, deneb, 40)
        gone(pairing)
        pair(mira, deneb, 39)
        page = as_keeper.post(reverse("program:bring_back", args=["pairing", pairing.pk]))
        assert page.status_code == 422
        assert "recorded as together from 17 October 2026 until now already." in words(page)
        assert Pairing.objects.get(pk=pairing.pk).is_withdrawn

    def test_an_end_closes_the_season_again(self, mira, deneb):
        pair(mira, deneb, 60, 50)
        end = record_outcome(female=mira, on=ago(20), kind="resorbed", today=clock.today(), by=None)
        before = reckoned(mira)
        withdraw_outcome(end, by=None, now=now(), reason="It was Vega")
        assert reckoned(mira) != before
        corrections.bring_back_outcome(end, today=clock.today())
        assert reckoned(mira) == before

    def test_an_end_whose_season_was_closed_otherwise_since_is_refused(self, mira, deneb):
        pair(mira, deneb, 60, 50)
        facts = {"female": mira, "today": clock.today(), "by": None}
        end = record_outcome(on=ago(20), kind="resorbed", **facts)
        withdraw_outcome(end, by=None, now=now(), reason="on another day")
        with time_machine.travel("2026-11-25 12:30:00Z", tick=False):
            record_outcome(on=ago(18), kind="live_birth", **facts)
        with pytest.raises(ValidationError, match="“live birth” on 7 November 2026 has been"):
            corrections.bring_back_outcome(end, today=clock.today())

    def test_an_end_of_an_earlier_season_is_not_in_the_way(self, mira, deneb):
        pair(mira, deneb, 600, 590)
        facts = {"female": mira, "today": clock.today(), "by": None}
        end = record_outcome(on=ago(560), kind="resorbed", **facts)
        withdraw_outcome(end, by=None, now=now(), reason="a slip")
        pair(mira, deneb, 60, 50)
        with time_machine.travel("2026-11-25 12:30:00Z", tick=False):
            record_outcome(on=ago(18), kind="resorbed", **facts)
        corrections.bring_back_outcome(end, today=clock.today())
        assert Outcome.objects.filter(withdrawn_at=None).count() == 2

    def test_a_scan_says_again_what_it_said(self, mira, deneb):
        pair(mira, deneb, 100, 60)
        scan = record_scan(female=mira, on=ago(5), positive=True, today=clock.today(), by=None)
        before = reckoned(mira)
        corrections.change_scan(scan, female=mira, on=ago(5), positive=False, today=clock.today())
        assert chance(mira) < before[0]
        corrections.change_scan(scan, female=mira, on=ago(5), positive=True, today=clock.today())
        gone(scan)
        corrections.bring_back_scan(scan, today=clock.today())
        assert reckoned(mira) == before

    def test_a_tick_that_was_made_anew_is_named(self, mira):
        first = care.tick_nursery(mira, "food", on=ago(3), by=None, now=now())
        care.tick_nursery(mira, "food", on=ago(1), by=None, now=now())
        first.refresh_from_db()
        with pytest.raises(ValidationError, match="ticked again on 24 November 2026"):
            care.bring_back_tick(first, today=clock.today())

    def test_a_rest_behind_a_later_word_is_refused(self, mira, deneb):
        pair(mira, deneb, 300, 290)
        facts = {"female": mira, "today": clock.today(), "by": None}
        birth = record_outcome(on=ago(20), kind="live_birth", **facts)
        first = care.rest_after(birth, until=ago(-30), by=None)
        gone(first)
        care.rest_after(birth, until=ago(-60), by=None)
        with pytest.raises(ValidationError, match="rest until 24 January 2027; change that"):
            care.bring_back_rest(first)


class TestEnds:
    def test_another_day_of_an_end_moves_where_the_season_begins(self, mira, deneb):
        pair(mira, deneb, 60, 10)
        facts = {"female": mira, "today": clock.today(), "by": None}
        end = record_outcome(on=ago(5), kind="not_pregnant", **facts)
        assert season(mira).since is None
        corrections.change_outcome(end, kind="not_pregnant", on=ago(40), today=clock.today())
        assert season(mira).since == ago(40)

    def test_a_birth_on_which_a_rest_stands_stays_a_birth(self, mira, deneb):
        facts = {"female": mira, "today": clock.today(), "by": None}
        birth = record_outcome(on=ago(20), kind="live_birth", **facts)
        care.rest_after(birth, until=ago(-30), by=None)
        with pytest.raises(ValidationError, match="withdraw that first"):
            corrections.change_outcome(birth, kind="resorbed", on=ago(20), today=clock.today())


class TestUndone:
    def test_what_has_taken_its_place_since_is_named_and_nothing_is_undone(
        self, as_keeper, mira, deneb
    ):
        pairing = pair(mira, deneb, 40, 30)
        as_keeper.post(address_of(pairing), {"reason": "It was Izar"})
        act = Act.objects.latest("pk")
        pair(mira, deneb, 35, 20)
        answer = as_keeper.post(reverse("program:undo", args=[act.pk]))
        assert answer.status_code == 409
        assert "recorded as together from 21 October 2026" in words(answer)
        assert Pairing.objects.get(pk=pairing.pk).is_withdrawn

    def test_a_change_is_undone_to_the_field(self, as_keeper, mira, deneb):
        pairing = pair(mira, deneb, 40, 30, note="calm")
        sent = {"introduced_on": str(ago(40)), "separated_on": "", "note": "calm"}
        as_keeper.post(change_address_of(pairing), sent)
        assert Pairing.objects.get().is_open
        as_keeper.post(reverse("program:undo", args=[Act.objects.latest("pk").pk]))
        assert Pairing.objects.get().separated_on == ago(30)

    def test_an_end_that_was_closed_otherwise_since_stays_withdrawn(self, as_keeper, mira, deneb):
        pair(mira, deneb, 60, 50)
        facts = {"female": mira, "today": clock.today(), "by": None}
        end = record_outcome(on=ago(20), kind="resorbed", **facts)
        as_keeper.post(address_of(end), {"reason": "It was Izar"})
        act = Act.objects.latest("pk")
        with time_machine.travel("2026-11-25 12:05:00Z", tick=False):
            record_outcome(on=ago(18), kind="not_pregnant", **facts)
            answer = as_keeper.post(reverse("program:undo", args=[act.pk]))
        assert answer.status_code == 409
        assert "has been written down for this season of Mira since" in words(answer)
        assert Outcome.objects.get(pk=end.pk).is_withdrawn


class TestShown:
    def test_her_season_offers_to_change_and_folds_what_was_withdrawn(self, as_keeper, mira, deneb):
        pairing, seen = pair(mira, deneb, 40, 30), see(mira, 35, note="By the pump.")
        page = words(as_keeper.get(reverse("pairings:female", args=[mira.pk])))
        for one in (pairing, seen):
            assert f'<a href="{change_address_of(one)}">change</a>' in page
            assert f'<a href="{address_of(one)}">withdraw</a>' in page
        assert "Withdrawn (" not in page
        gone(seen)
        page = words(as_keeper.get(reverse("pairings:female", args=[mira.pk])))
        assert "<summary>Withdrawn (1)</summary>" in page
        assert "By the pump." in page
        assert f'<a href="{address_of(seen)}">bring back</a>' in page

    def test_a_viewer_reads_it_without_links(self, viewer, client, mira):
        seen = see(mira, 35)
        client.force_login(viewer)
        page = words(client.get(reverse("pairings:female", args=[mira.pk])))
        assert change_address_of(seen) not in page
