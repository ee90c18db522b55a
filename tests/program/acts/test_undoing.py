"""Undo puts back all that an act has written, to the day; or nothing, and says why."""

import datetime
from io import BytesIO

import pytest
import time_machine
from auditlog.models import LogEntry
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from breeding.animals.mending.withdrawing import withdraw_animal
from breeding.animals.models import Animal
from breeding.housing.models import Stay, Tank
from breeding.housing.services import move_animal
from breeding.pairings.models import Sighting, SignKind
from breeding.program import clock
from breeding.program.acts import putting_back, undoing
from breeding.program.acts.history import history_of
from breeding.program.acts.once import new_token
from breeding.program.acts.undoing import rows_of
from breeding.program.models import Act
from breeding.program.queries import the_program
from tests import cast
from tests.cast import words

pytestmark = pytest.mark.django_db
LOG = "/pairings/log/"


@pytest.fixture(autouse=True)
def _today():
    with time_machine.travel("2026-11-25 12:00:00Z", tick=False):
        yield


def log(client, female, token=""):
    mating = SignKind.objects.get(key="copulation")
    client.post(LOG, {"female": female.pk, "kind": mating.pk, "once": token})
    return Act.objects.latest("pk")


def undo(client, act):
    return client.post(reverse("program:undo", args=[act.pk]))


def stays() -> list[tuple[str, str, str, datetime.date, datetime.date | None]]:
    return sorted(
        (one.animal.name, one.tank.name, one.side, one.since, one.until)
        for one in Stay.objects.select_related("animal", "tank")
    )


def moved_all(client, name, many):
    """The act that moved so many out of a tank of this name."""
    ponds = [Tank.objects.create(name=f"{name} {one}", kind="breeding") for one in (1, 2)]
    for number in range(many):
        move_animal(cast.female(f"{name}{number}"), ponds[0], on=cast.day("2026-10-01"), by=None)
    page = reverse("housing:move_all", args=[ponds[0].pk])
    client.post(page, {"tank": str(ponds[1].pk), "on": "2026-11-25"})
    act = Act.objects.latest("pk")
    assert len(rows_of(act)) == 2 * many  # a stay that ended, and one that began, of each
    return act


def undone(act, by):
    """The rows that stand as before in their order, every stay, and the history of each."""
    last = LogEntry.objects.latest("pk").pk
    rows = [one.pk for one in undoing.undo(act, by=by, now=timezone.now())]
    told = LogEntry.objects.filter(pk__gt=last).values_list("object_pk", "action", "object_repr")
    changes = {one.object_pk: one.changes for one in LogEntry.objects.filter(pk__gt=last)}
    return rows, list(Stay.every.order_by("pk").values()), sorted(told), changes


class TestTheReceipt:
    def test_it_offers_to_undo_and_to_change_and_stays_after_a_reload(self, as_keeper):
        log(as_keeper, cast.female())
        for _ in range(2):
            page = words(as_keeper.get("/animals/"))
            assert "Written: Mira, mating" in page
            assert "Undo" in page

    def test_it_stays_for_ten_minutes_and_is_gone_after_twenty(self, as_keeper):
        log(as_keeper, cast.female())
        with time_machine.travel("2026-11-25 12:10:30Z", tick=False):
            assert "Written: Mira" in words(as_keeper.get("/animals/"))
        with time_machine.travel("2026-11-25 12:20:00Z", tick=False):
            assert "Written: Mira" not in words(as_keeper.get("/animals/"))

    def test_put_away_it_is_gone_at_once_and_the_record_stays(self, as_keeper):
        act = log(as_keeper, cast.female())
        as_keeper.post(reverse("program:put_away", args=[act.pk]))
        assert "Written: Mira" not in words(as_keeper.get("/animals/"))
        assert Sighting.objects.get().is_withdrawn is False

    def test_somebody_else_does_not_see_it(self, as_keeper, as_owner):
        log(as_keeper, cast.female())
        assert "Written: Mira" not in words(as_owner.get("/animals/"))


class TestUndone:
    def test_a_sighting_counts_no_more_and_stays_readable(self, as_keeper, keeper):
        act = log(as_keeper, cast.female())
        assert undo(as_keeper, act).status_code == 302
        seen = Sighting.objects.get()
        assert (seen.withdrawn_by, seen.withdrawn_reason) == (keeper, "undone by who wrote it")
        assert "Undone: Mira, mating." in words(as_keeper.get("/animals/"))

    def test_undoing_is_undone_too(self, as_keeper):
        act = log(as_keeper, cast.female())
        undo(as_keeper, act)
        undo(as_keeper, Act.objects.latest("pk"))
        assert Sighting.objects.get().is_withdrawn is False

    def test_twice_is_once_and_says_so(self, as_keeper):
        act = log(as_keeper, cast.female())
        undo(as_keeper, act)
        again = undo(as_keeper, act)
        assert again.status_code == 409
        assert "This has been undone already." in words(again)

    def test_a_move_of_several_is_undone_for_all_of_them(self, as_keeper):
        ponds = [Tank.objects.create(name=name, kind="breeding") for name in ("A", "B")]
        for name, on in (("Mira", "2026-10-01"), ("Vega", "2026-10-20")):
            move_animal(cast.female(name), ponds[0], on=cast.day(on), by=None)
        before = stays()
        as_keeper.post(
            reverse("housing:move_all", args=[ponds[0].pk]),
            {"tank": str(ponds[1].pk), "on": "2026-11-25"},
        )
        assert stays() != before
        undo(as_keeper, Act.objects.latest("pk"))
        assert stays() == before

    def test_a_move_of_several_is_undone_together_as_one_by_one(
        self, as_keeper, keeper, monkeypatch
    ):
        act = moved_all(as_keeper, "A", 3)
        with transaction.atomic():
            together = undone(act, keeper)
            transaction.set_rollback(True)
        monkeypatch.setattr(putting_back, "_way", lambda one: (one[0].model, putting_back._never))
        monkeypatch.setattr(putting_back, "_was_changed", lambda _: False)
        assert undone(act, keeper) == together

    def test_that_of_more_is_written_in_as_few_statements(self, as_keeper, keeper):
        written = []
        for name, many in (("A", 2), ("B", 5)):
            act = moved_all(as_keeper, name, many)
            with CaptureQueriesContext(connection) as found:
                undone(act, keeper)
            said = [one["sql"] for one in found.captured_queries]
            written.append(sum(("UPDATE " in one or "INSERT " in one) for one in said))
        assert written == [4, 4]  # what was made, what was changed, and the history of both

    def test_a_death_leaves_state_and_day_as_they_were(self, as_keeper):
        mira = cast.female(state="here", state_on=cast.day("2024-05-01"))
        as_keeper.post(
            reverse("animals:state", args=[mira.pk]), {"state": "died", "on": "2026-11-24"}
        )
        assert Animal.objects.get(pk=mira.pk).state == "died"
        undo(as_keeper, Act.objects.latest("pk"))
        mira.refresh_from_db()
        assert (mira.state, mira.state_on) == ("here", cast.day("2024-05-01"))


class TestRefused:
    def test_what_was_changed_since_is_named(self, as_keeper):
        mira = cast.female()
        for on in ("2026-11-24", "2026-11-23"):
            as_keeper.post(reverse("animals:state", args=[mira.pk]), {"state": "died", "on": on})
        first, second = Act.objects.order_by("pk")
        answer = undo(as_keeper, first)
        assert answer.status_code == 409
        assert "animal “Mira” was changed since (state on)" in words(answer)
        assert undo(as_keeper, second).status_code == 302
        assert undo(as_keeper, first).status_code == 302

    def test_what_rests_on_it_is_named_and_nothing_is_undone(self, as_keeper):
        as_keeper.post(
            reverse("housing:new"),
            {"name": "Pond", "kind": "breeding", "length": "", "width": "", "height": ""},
        )
        act = Act.objects.latest("pk")
        pond = Tank.objects.get(name="Pond")
        move_animal(cast.female(), pond, on=cast.ago(1), by=None)
        answer = undo(as_keeper, act)
        assert answer.status_code == 409
        assert "rests on it" in words(answer)
        assert Tank.objects.filter(name="Pond").exists()

    def test_another_keepers_act_is_for_them_or_an_owner(self, as_keeper, as_owner, owner):
        act = log(as_owner, cast.female(), new_token(owner))
        assert undo(as_keeper, act).status_code == 403
        assert undo(as_owner, act).status_code == 302


class TestUndoneAndWrittenAgain:
    """The receipt says what stands now, however often it was undone and written again."""

    def test_each_time_it_offers_the_other(self, as_keeper):
        log(as_keeper, cast.female())
        for said, offered in (
            ("Undone: Mira, mating.", "Write it again"),
            ("Written again: Mira, mating.", "Undo"),
            ("Undone: Mira, mating.", "Write it again"),
        ):
            undo(as_keeper, Act.objects.latest("pk"))
            page = words(as_keeper.get("/animals/"))
            assert f"{said}" in page
            assert offered in page.split(said)[1].split("Put away")[0]

    def test_what_was_written_again_can_be_changed(self, as_keeper):
        act = log(as_keeper, cast.female())
        assert act.change_at
        for address in ("", act.change_at):
            undo(as_keeper, Act.objects.latest("pk"))
            assert Act.objects.latest("pk").change_at == address


class TestWhereItIsChanged:
    """“Change” leads to what the form was about."""

    def test_a_sighting_and_not_the_picture_that_came_with_it(self, as_keeper):
        bytes_ = BytesIO()
        Image.new("RGB", (64, 64), "teal").save(bytes_, "PNG")
        picture = SimpleUploadedFile("a.png", bytes_.getvalue())
        mating = SignKind.objects.get(key="copulation")
        as_keeper.post(LOG, {"female": cast.female().pk, "kind": mating.pk, "photograph": picture})
        assert "/change/sighting/" in Act.objects.get().change_at

    def test_no_one_stay_when_several_were_moved(self, as_keeper):
        ponds = [Tank.objects.create(name=name, kind="breeding") for name in ("A", "B")]
        for name in ("Mira", "Vega"):
            move_animal(cast.female(name), ponds[0], on=cast.day("2026-10-01"), by=None)
        as_keeper.post(
            reverse("housing:move_all", args=[ponds[0].pk]),
            {"tank": str(ponds[1].pk), "on": "2026-11-25"},
        )
        assert Act.objects.get().change_at == ""


class TestBroughtBack:
    """A row that no list shows is kept in the history as it was, so that it can be undone."""

    @pytest.fixture
    def mira(self):
        return cast.female()

    def test_undoing_it_withdraws_it_again_and_leaves_it_as_it_was(self, as_keeper, keeper, mira):
        withdraw_animal(mira, by=keeper, now=clock.now(), reason="twice")
        as_keeper.post(reverse("program:bring_back", args=["animal", mira.pk]))
        assert Animal.objects.get() == mira
        assert undo(as_keeper, Act.objects.latest("pk")).status_code == 302
        kept = Animal.every.get()
        assert (kept.code, kept.sex, kept.withdrawn_reason) == (mira.code, mira.sex, "twice")

    def test_its_history_tells_of_nothing_else(self, as_keeper, keeper, mira):
        withdraw_animal(mira, by=keeper, now=clock.now(), reason="twice")
        as_keeper.post(reverse("program:bring_back", args=["animal", mira.pk]))
        back, gone, _ = history_of(mira, the_program())
        assert (back.done, back.said) == ("brought back", ["it had been withdrawn: twice"])
        assert (gone.done, gone.said) == ("withdrawn", ["twice"])
