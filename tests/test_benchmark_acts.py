"""The benchmark of acts sends what a browser would, and knows an act that was not written."""

import pytest

from benchmarks.acts import RefusedError, cost_of
from benchmarks.sent.acts import Sent
from benchmarks.sent.forms import answered, filled_in
from breeding.animals.models import Measurement
from breeding.housing.models import Stay, Tank
from breeding.pairings.models import Sighting, SignKind
from breeding.program import clock
from breeding.program.models import Act
from tests import cast
from tests.cast import ago, pair

pytestmark = pytest.mark.django_db

PAGE = """
<form method="get"><input name="q" value="sought"></form>
<form method="post"><input type="hidden" name="once" value="t1"></form>
<form method="post">
  <input name="on" value="2026-01-02"><input name="empty">
  <input type="radio" name="side" value="l"><input type="radio" name="side" value="r" checked>
  <input type="checkbox" name="not" value="1"><input type="checkbox" name="yes" checked>
  <select name="first"><option value="a">A</option><option value="b">B</option></select>
  <select name="chosen"><option value="a">A</option><option value="b" selected>B</option></select>
  <textarea name="note">
 As it is </textarea>
  <input type="file" name="picture"><button name="save" value="1">Save</button>
</form>
"""
ASKED = '<input type="checkbox" name="sure" value="m1 m2"><input name="sure_reason">'
ASKING = PAGE.replace("<textarea", f"{ASKED}<textarea")


def test_of_a_page_the_form_with_these_fields_is_sent_as_it_stands():
    assert filled_in(PAGE, {"on": "2026-02-03", "first": "b"}) == {
        "on": "2026-02-03",
        "empty": [""],
        "side": ["r"],
        "yes": ["on"],
        "first": "b",
        "chosen": ["b"],
        "note": ["As it is"],
    }


def test_what_is_asked_is_answered_and_nothing_else_is_sent_again():
    assert answered(PAGE, {"on": "x"}) is None
    sent = answered(ASKING, {"on": "x"})
    assert sent is not None
    assert sent["sure"] == ["m1 m2"]
    assert sent["sure_reason"]
    assert sent["side"] == ["r"]


def test_an_act_that_asks_is_written_and_undone(as_owner, owner):
    mira, deneb = cast.female("Mira", born_on=ago(2000)), cast.male("Deneb", born_on=ago(2000))
    cove, bay = Tank.objects.create(name="Cove"), Tank.objects.create(name="Bay")
    Stay.objects.create(animal=mira, tank=cove, since=ago(30))
    Stay.objects.create(animal=deneb, tank=bay, since=ago(30))
    pairing = pair(mira, deneb, 20)
    sent = Sent(f"/tanks/move/{mira.pk}/", {"tank": str(bay.pk), "on": clock.today()})
    cost = cost_of(as_owner, owner, sent, opens_day=False)
    assert min(cost.act, cost.undo, cost.receipt) > 0
    assert cost.day == 0
    assert [act.is_undoing for act in Act.objects.order_by("pk")] == [False, True]
    stay = Stay.objects.get(animal=mira)
    assert (stay.tank, stay.until) == (cove, None)
    assert list(pairing.female.pairings_as_female.values_list("separated_on", flat=True)) == [None]


def test_an_act_that_is_refused_is_no_figure(as_owner, owner):
    mira = cast.female("Mira")
    kind = SignKind.objects.order_by("pk")[0]
    sent = Sent("/pairings/log/", {"female": mira.pk, "kind": kind.pk, "seen_at": "never"})
    with pytest.raises(RefusedError, match="never"):
        cost_of(as_owner, owner, sent, opens_day=False)
    assert not Sighting.objects.exists()
    assert not Measurement.objects.exists()
