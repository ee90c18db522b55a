"""The lines of company are kept for each tank, and none is ever an old one, whatever is written."""

import datetime
import random

import pytest
from django.urls import reverse
from django.utils import translation

from benchmarks.started import forget_everything
from breeding.agenda.gathered import Gathered
from breeding.agenda.lines.company import KIND_OF, company_lines
from breeding.animals import revisions
from breeding.animals.models import Animal, Measurement, Photograph
from breeding.health.models import Quarantine, Treatment
from breeding.housing.models import Stay, Tank
from breeding.housing.services import move_animal
from breeding.pairings.company import standing
from breeding.pairings.models import Outcome, Pairing, Rest, Sighting
from breeding.program import clock
from breeding.program.frame.memory import for_one_request
from breeding.program.models import Act, Program
from breeding.program.queries import the_program
from tests import cast
from tests.cast import ago, see
from tests.tries import tries

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.usefixtures("nothing_kept")]
DAY = datetime.timedelta(days=1)


@pytest.fixture
def tanks(owner):
    """In the pool are kin; in the bay a pair of strangers; two females alone in the cove."""
    cast.the_program(rest_days=60)
    pool, bay, cove = (
        Tank.objects.create(name=name, can_divide=True) for name in ("Pool", "Bay", "Cove")
    )
    mira, deneb = cast.female("Mira", born_on=ago(3000)), cast.male("Deneb", born_on=ago(3000))
    kin = {"dam": mira, "sire": deneb}
    altair = cast.male("Altair", born_on=ago(1500), **kin)
    vega = cast.female("Vega", born_on=ago(1400), **kin)
    young = cast.ray("Wega", "F", born_on=ago(340), **kin)
    nashira, izar = cast.female("Nashira", born_on=ago(1500)), cast.male("Izar", born_on=ago(1500))
    for animal, tank in (
        *((one, pool) for one in (mira, altair, vega, young)),
        *((one, bay) for one in (nashira, izar)),
        *((cast.female(name, born_on=ago(900)), cove) for name in ("Lyra", "Capella")),
    ):
        put(animal, tank, 20)
    return {"Pool": pool, "Bay": bay, "Cove": cove}


def put(animal, tank, days_ago=0, **more):
    return Stay.objects.create(animal=animal, tank=tank, since=ago(days_ago), **more)


def who(name):
    return Animal.objects.get(call_name=name)


def told(today=None):
    """All that a page is told of company, as comparable texts."""
    with for_one_request(only_reads=True):
        found = Gathered(the_program(), today or clock.today())
        return [
            (
                *(line.key, line.on, line.urgency, line.who, line.what, line.why, line.page_of),
                line.animal.portrait and line.animal.portrait.caption,
                *(act.words for act in line.acts),
            )
            for line in company_lines(found)
        ]


def told_from_nothing(today=None):
    forget_everything()
    return told(today)


@pytest.fixture
def judged(monkeypatch):
    """Which tanks were judged, each time."""
    found = []

    def judge(stays, known):
        found.append(stays[0].tank.name)
        return of_all(stays, known)

    of_all = standing._judged
    monkeypatch.setattr(standing, "_judged", judge)
    return found


def test_a_move_has_the_tanks_judged_again_that_it_is_about(tanks, judged):
    told()
    assert sorted(judged) == ["Bay", "Cove", "Pool"]
    judged.clear()
    told()
    assert judged == []
    with_kin = told()
    move_animal(who("Vega"), tanks["Cove"], on=clock.today(), by=None, sure=cast.SURE)
    assert told() != with_kin
    assert sorted(judged) == ["Cove", "Pool"]


def test_what_is_written_of_one_animal_has_its_own_tank_judged_again(tanks, judged):
    told()
    judged.clear()
    Animal.objects.filter(call_name="Izar").update(note="calm")
    told()
    see(who("Nashira"), 21, "fresh_bite_marks", severity=3)
    told()
    assert judged == ["Bay", "Bay"]


def of_animal(name, **fields):
    return lambda tanks: Animal.objects.filter(call_name=name).update(**fields)


def _no_parents(tanks):
    Animal.objects.filter(call_name="Vega").update(dam=None, sire=None)
    revisions.parentage_changed()


def _of_unknown_age(tanks):
    Animal.objects.filter(call_name="Wega").update(born_on=None, born_precision="unknown")


def _small(tanks):
    Measurement.objects.create(animal=who("Wega"), on=ago(2), disc_width_mm=90)


def _portrait(tanks):
    picture = Photograph.objects.create(
        animal=who("Altair"), caption="from above", width_px=3, height_px=3
    )
    Animal.objects.filter(call_name="Altair").update(portrait=picture)


def _caption(tanks):
    Photograph.objects.update(caption="from below")


def _wound(tanks):
    see(who("Nashira"), 21, "fresh_bite_marks", severity=3)


def _healed(tanks):
    see(who("Nashira"), 0, "fresh_bite_marks", severity=0)


def _birth(tanks):
    Outcome.objects.create(female=who("Nashira"), on=ago(25), kind="live_birth")


def _rest(tanks):
    Rest.objects.create(outcome=Outcome.objects.get(), until=ago(-90))


def _late(tanks):
    """He is too young for her season to ask about him, and old enough to be kept from her."""
    Animal.objects.filter(call_name="Izar").update(born_on=ago(400))
    cast.pair(who("Nashira"), who("Deneb"), 112, 105)
    for days_ago in (110, 108):
        see(who("Nashira"), days_ago)


def _pup(tanks):
    cast.ray("Pup", "U", born_on=ago(2), dam=who("Lyra"))
    put(who("Pup"), tanks["Bay"], 1)


def _quarantine(tanks):
    Quarantine.objects.create(animal=who("Izar"), since=ago(5))


def _quarantine_over(tanks):
    Quarantine.objects.update(ended_on=ago(0), result="clear")


def _quarantine_again(tanks):
    Treatment.objects.create(animal=who("Izar"), since=ago(2), against="flukes")


def _pairing(tanks):
    cast.pair(who("Mira"), who("Altair"), 3, reason="only male left")


def _pairing_over(tanks):
    Pairing.objects.update(separated_on=ago(0))


def of_stay(name, **fields):
    return lambda tanks: Stay.objects.filter(animal__call_name=name).update(**fields)


def of_pool(**fields):
    return lambda tanks: Tank.objects.filter(name="Pool").update(**fields)


def of_program(**fields):
    return lambda tanks: Program.objects.update(**fields)


def _new_purpose(tanks):
    Tank.objects.filter(name="Bay").update(kind=Tank.Kind.QUARANTINE)


def _degree(tanks):
    Program.objects.update(separate_at_severity=4)


def _moved(tanks):
    move_animal(who("Vega"), tanks["Bay"], on=clock.today(), by=None, sure=cast.SURE)


def _withdrawn(tanks):
    Stay.objects.filter(animal__call_name="Altair").update(withdrawn_at=clock.now())


def _deleted(tanks):
    Stay.objects.filter(animal__call_name="Altair").delete()


CHANGES = {
    "no parents": _no_parents,
    "born later": of_animal("Altair", born_on=ago(200)),
    "of unknown age": _of_unknown_age,
    "measured": (_of_unknown_age, _small),
    "another sex": of_animal("Altair", sex="F"),
    "on loan": of_animal("Altair", state="on_loan"),
    "dead": of_animal("Altair", state="died", state_on=ago(0)),
    "another name": of_animal("Altair", call_name="Tarazed"),
    "portrait": _portrait,
    "caption": (_portrait, _caption),
    "wound": _wound,
    "healed": (_wound, _healed),
    "birth": _birth,
    "rest": (_birth, _rest),
    "late in pregnancy": _late,
    "pup": _pup,
    "quarantine": _quarantine,
    "quarantine over": (_quarantine, _quarantine_over),
    "quarantine again": (_quarantine, _quarantine_again),
    "pairing": _pairing,
    "pairing over": (_pairing, _pairing_over),
    "divider": of_stay("Altair", side="left"),
    "reason": of_stay("Altair", reason="no other tank"),
    "came later": of_stay("Altair", since=ago(3)),
    "gone": of_stay("Altair", until=ago(0)),
    "tank's name": of_pool(name="Boathouse"),
    "tank's purpose": (_quarantine, _new_purpose),
    "no divider": of_pool(can_divide=False),
    "program's caution": of_program(inbreeding_caution=0.3),
    "program's degree": (_wound, _degree),
    "moved": _moved,
    "withdrawn": _withdrawn,
    "deleted": _deleted,
}


@pytest.mark.parametrize("name", CHANGES)
def test_what_is_kept_is_what_is_told_from_nothing(name, tanks):
    before, change = told(), CHANGES[name]
    for step in change if isinstance(change, tuple) else (change,):
        step(tanks)
        kept = told()
        assert kept != before
        assert kept == told() == told_from_nothing()
        before = kept


def test_every_kind_of_line_is_among_what_is_changed(tanks):
    for step in (_pup, _quarantine, _late, _wound):
        step(tanks)
    kinds = {line[0].partition(":")[0] for line in told()}
    forget_everything()
    _birth(tanks)
    kinds |= {line[0].partition(":")[0] for line in told()}
    assert kinds == {one.key for one in KIND_OF.values()}


def test_another_day_and_another_language_say_their_own(tanks):
    _quarantine(tanks)
    here = told()
    later = told(clock.today() + 40 * DAY)
    with translation.override("de"):
        german = told()
        assert german == told_from_nothing()
    assert len({str(one) for one in (here, later, german)}) == 3
    told()
    assert told(clock.today() + 40 * DAY) == later == told_from_nothing(clock.today() + 40 * DAY)


def test_a_move_that_is_undone_says_what_was_said_before(as_keeper, tanks):
    before = told()
    fields = {"on": f"{clock.today()}", "tank": str(tanks["Cove"].pk)}
    as_keeper.post(reverse("housing:move", args=[who("Vega").pk]), fields)
    assert told() != before
    as_keeper.post(reverse("program:undo", args=[Act.objects.latest("pk").pk]))
    assert told() == before == told_from_nothing()


@pytest.mark.parametrize("seed", range(tries(6)))
def test_no_line_is_an_old_one_after_any_of_it_in_any_order(tanks, seed):
    draw = random.Random(seed)
    told()
    for _ in range(10):
        _write(draw, tanks)
        kept = told()
        assert kept == told() == told_from_nothing()


def _write(draw, tanks):
    change = draw.choice(["move", "move", "move", "back", "of one", "seen", "program", "change"])
    animal, tank = draw.choice(list(Animal.objects.all())), draw.choice(list(tanks.values()))
    stays = Stay.objects.filter(animal=animal)
    if change == "move":
        stays.filter(until=None).update(until=ago(0))
        put(animal, tank, side=draw.choice(["", "left", "right"]))
    elif change == "back" and (last := stays.order_by("pk").last()):
        stays.filter(pk=last.pk).delete()
    elif change == "of one":
        fields = {"sex": draw.choice("FMU"), "state": draw.choice(["here", "on_loan", "died"])}
        fields |= {"born_on": draw.choice([ago(3), ago(300), ago(2000)])}
        name, value = draw.choice(list(fields.items()))
        Animal.objects.filter(pk=animal.pk).update(**{name: value})
    elif change == "seen" and animal.sex == "F":
        see(animal, draw.randrange(30), "fresh_bite_marks", severity=draw.choice([0, 2, 3]))
    elif change == "program":
        Program.objects.update(inbreeding_caution=draw.choice([0.05, 0.2, 0.3]))
    else:
        one = draw.choice([_wound, _quarantine, _late, _no_parents, _of_unknown_age, _birth])
        if not Quarantine.objects.exists() or one is not _quarantine:
            one(tanks)
    if draw.random() < 0.2 and (looked := Sighting.objects.order_by("pk").last()):
        Sighting.objects.filter(pk=looked.pk).update(withdrawn_at=clock.now())
