"""The day as it is kept from page to page is the day as it would be reckoned, after every act."""

import datetime

import pytest
from django.utils import translation

from benchmarks.started import forget_everything
from breeding.agenda import queries
from breeding.agenda.gathered import Gathered
from breeding.agenda.lines import females
from breeding.agenda.lines.once import written_once
from breeding.agenda.queries import (
    AT_NO_TANK,
    KEPT,
    OF_LITTERS,
    OF_MEALS,
    ON_THE_DAY,
    the_day,
)
from breeding.animals.models import Animal, Measurement
from breeding.buyers.models import Contact, Wish
from breeding.feeding.models import Feeding, Food, Meal
from breeding.housing.models import Stay, Tank
from breeding.litters.models import Litter, Pup
from breeding.pairings.models import Outcome, Pairing, Sighting, SignKind
from breeding.pairings.services import record_outcome
from breeding.program import clock
from breeding.program.frame.memory import for_one_request
from breeding.program.models import Program
from breeding.program.queries import the_program
from breeding.program.unchanged.noted import noting
from tests import cast
from tests.cast import ago, pair, see

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.usefixtures("nothing_kept")]
DAILY = {
    "animals_measurement",
    "feeding_feeding",
    "feeding_meal",
    "housing_look",
    "pairings_sighting",
}


@pytest.fixture
def mira(owner):
    """She is with Deneb and was seen mating; Vega is hurt and off food; a pup fits a wish."""
    cast.the_program()
    pool, bay = Tank.objects.create(name="Pool"), Tank.objects.create(name="Bay")
    grown = {"pure": "motoro", "born_on": ago(2000), "born_precision": "day"}
    mira, vega = cast.female("Mira", **grown), cast.female("Vega", **grown)
    deneb = cast.male("Deneb", **grown)
    for one, tank in ((mira, pool), (deneb, pool), (vega, bay)):
        Stay.objects.create(animal=one, tank=tank, since=ago(400))
    pair(mira, deneb, 90)
    see(mira, 85)
    see(vega, 3)  # nobody was with her: it is asked about
    see(vega, 2, "fresh_bite_marks", severity=2)
    for days in (3, 2, 1):
        _fed(vega, days, "none")
    birth = Outcome.objects.create(female=vega, on=ago(300), kind="live_birth")
    litter = Litter.objects.create(code="25-1", dam=vega, born_on=ago(300), outcome=birth)
    pup = cast.ray("Pup", "F", dam=vega, born_on=ago(300), born_precision="day", origin="here")
    Pup.objects.create(litter=litter, number=1, sex="F", animal=pup, disc_width_mm=95)
    Measurement.objects.create(animal=pup, on=ago(5), disc_width_mm=240)
    Stay.objects.create(animal=pup, tank=bay, since=ago(300))
    contact = Contact.objects.create(name="Somebody")
    Wish.objects.create(contact=contact, wished_on=ago(30), sex="F")
    return mira


def _fed(animal, days, took):
    food = Food.objects.get_or_create(name="Worms")[0]
    at = clock.now() - datetime.timedelta(days=days)
    round_ = Feeding.objects.create(food=food, fed_at=at)
    Meal.objects.create(feeding=round_, animal=animal, fed_at=at, took=took)


def _tank_fed(name, days):
    food = Food.objects.get_or_create(name="Worms")[0]
    at = clock.now() - datetime.timedelta(days=days)
    Feeding.objects.create(food=food, fed_at=at, tank=Tank.objects.get(name=name))


def _moved(animal, name):
    Stay.objects.filter(animal=animal, until=None).update(until=ago(1))
    Stay.objects.create(animal=animal, tank=Tank.objects.get(name=name), since=ago(1))


def the_pup():
    return Animal.objects.get(call_name="Pup")


def vega():
    return Animal.objects.get(call_name="Vega")


ACTS = {
    "a mating seen": lambda mira: see(mira, 0),
    "a bite": lambda mira: see(mira, 0, "fresh_bite_marks", severity=3),
    "healed": lambda mira: see(vega(), 0, "fresh_bite_marks", severity=0),
    "off food": lambda mira: see(mira, 0, "off_food"),
    "eats again": lambda mira: see(vega(), 0, "eats_again"),
    "seen long ago": lambda mira: see(mira, 88),
    "a sighting put right": lambda mira: Sighting.objects.update(severity=4),
    "a sighting removed": lambda mira: Sighting.objects.all().delete(),
    "a kind of sign changed": lambda mira: SignKind.objects.update(is_off_food=False),
    "fed": lambda mira: _fed(vega(), 0, "all"),
    "refused": lambda mira: _fed(mira, 0, "none"),
    "its tank fed": lambda mira: _tank_fed("Pool", 0),
    "its tank fed on several days": lambda mira: [_tank_fed("Pool", days) for days in (4, 2, 0)],
    "its pup fed": lambda mira: _fed(the_pup(), 0, "all"),
    "its pup refused": lambda mira: _fed(the_pup(), 0, "none"),
    "its pup hurt": lambda mira: see(the_pup(), 0, "fresh_bite_marks", severity=3),
    "its pup measured": lambda mira: Measurement.objects.create(
        animal=the_pup(), on=ago(0), disc_width_mm=90
    ),
    "a round withdrawn": lambda mira: Feeding.objects.update(withdrawn_at=clock.now()),
    "measured": lambda mira: Measurement.objects.create(animal=vega(), on=ago(0), disc_width_mm=90),
    "moved to company": lambda mira: _moved(vega(), "Pool"),
    "stays put right": lambda mira: Stay.objects.filter(animal=mira).update(
        tank=Tank.objects.get(name="Bay")
    ),
    "a tank renamed": lambda mira: Tank.objects.filter(name="Bay").update(name="Cove"),
    "apart": lambda mira: Pairing.objects.update(separated_on=ago(1)),
    "a birth": lambda mira: record_outcome(
        female=mira, kind="live_birth", on=ago(0), today=ago(0), by=None
    ),
    "an outcome of long ago": lambda mira: Outcome.objects.create(
        female=mira, on=ago(200), kind="not_pregnant"
    ),
    "one renamed": lambda mira: Animal.objects.filter(call_name="Vega").update(call_name="Vela"),
    "one gone": lambda mira: Animal.objects.filter(call_name="Vega").update(
        state="left", state_on=ago(0)
    ),
    "a wish taken back": lambda mira: Wish.objects.all().delete(),
    "another wish": lambda mira: Wish.objects.create(
        contact=Contact.objects.get(), wished_on=ago(40), sex="F"
    ),
    "the program's own limits": lambda mira: Program.objects.update(
        separate_at_severity=4, length_unit="in", overdue_lateness=0.1
    ),
}


def visit():
    with for_one_request(only_reads=True):
        day = the_day(the_program(), today=ago(0), for_owner=True)
    return [(one, tuple(one.acts)) for one in day.lines], day.lede


@pytest.mark.parametrize("act", ACTS)
def test_after_every_act_the_kept_day_is_the_fresh_one(mira, act):
    before = visit()
    assert len({line.kind.key for line, _ in before[0]}) >= 5
    assert visit() == before
    ACTS[act](mira)
    kept = visit()
    again = visit()
    forget_everything()
    assert kept == again == visit()


def test_a_day_is_written_in_the_language_of_who_reads_it(mira):
    english = visit()
    with translation.override("de"):
        german = visit()
        forget_everything()
        assert german == visit() != english
    assert visit() == english


def test_a_sighting_has_only_her_lines_written_anew(mira, monkeypatch):
    see(vega(), 1, "fresh_bite_marks", severity=3)
    pair(vega(), cast.male("Altair", born_on=ago(2000), born_precision="day"), 60)
    visit()
    written = []
    write = females._lines_of
    monkeypatch.setattr(
        females, "_lines_of", lambda one, today: written.append(one.female) or write(one, today)
    )
    visit()
    assert written == []
    see(mira, 0)
    visit()
    assert written == [mira]


def test_what_is_kept_whole_rests_on_nothing_that_is_written_every_day(mira):
    for source in KEPT:
        with for_one_request(only_reads=True), noting() as read:
            list(source(Gathered(the_program(), ago(0))))
        assert not read & DAILY, source.__name__


def test_things_that_are_others_have_lines_of_their_own(mira):
    gathered = Gathered(the_program(), ago(0))
    asked = []
    with for_one_request(only_reads=True):
        things = [object(), object()]
        for _ in range(2):
            written_once("things", gathered, things, lambda one: asked.append(one) or ())
        assert asked == things
        written_once(
            "things", gathered, [things[0], other := object()], lambda one: asked.append(one) or ()
        )
        assert asked == [*things, other]
        written_once("others", gathered, things[:1], lambda one: asked.append(one) or ())
        assert asked == [*things, other, things[0]]


def test_what_is_said_at_no_tank_is_said_by_its_water_or_at_the_desk(mira):
    of = {"water", "buyers", "records"}
    found = set()
    for source in AT_NO_TANK:
        found |= {line.kind.group for line in source(Gathered(the_program(), ago(0)))}
    assert found <= of
    assert found >= {"buyers", "records"}


def test_a_mating_seen_leaves_the_lines_of_litters_and_meals(mira, monkeypatch):
    asked = []

    def told(source):
        def write(gathered):
            asked.append(source)
            return source(gathered)

        return write

    sources = {source: told(source) for source in (*OF_LITTERS, *OF_MEALS)}
    monkeypatch.setattr(queries, "ON_THE_DAY", [sources.get(one, one) for one in ON_THE_DAY])
    monkeypatch.setattr(queries, "OF_LITTERS", {sources[one] for one in OF_LITTERS})
    monkeypatch.setattr(queries, "OF_MEALS", {sources[one] for one in OF_MEALS})
    visit()
    assert len(asked) == len(sources)
    see(mira, 0)
    visit()
    assert len(asked) == len(sources)
    _fed(the_pup(), 0, "all")
    visit()
    assert len(asked) == 2 * len(sources)
