"""One page withdraws whatever was written by mistake: every kind of record, one after the other."""

import datetime
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from io import BytesIO
from typing import Any

import pytest
import time_machine
from django.apps import apps
from django.core.exceptions import ValidationError
from django.urls import reverse
from PIL import Image

from breeding.agenda import queries as agenda_queries
from breeding.agenda.models import Reminder
from breeding.agenda.own.acts import set_reminder
from breeding.agenda.services import answer_line
from breeding.animals import lineage
from breeding.animals.models import Animal, Species, Strain
from breeding.animals.parents.assuming import Belief, assume_kin
from breeding.animals.pictures.portraits import read_picture
from breeding.animals.services import add_measurement, add_photograph, change_state
from breeding.animals.species.strains import add_strain
from breeding.arrivals.loans.acts import lend, take_in
from breeding.arrivals.loans.young import name_young, young_of
from breeding.arrivals.models import YoungGiven
from breeding.arrivals.queries import how_it_came, open_loans
from breeding.arrivals.services import write_how_it_came
from breeding.buyers import hand_overs, services, waiting
from breeding.buyers.forms import ReservationForm
from breeding.exchange.ancestry import read_word
from breeding.exchange.keys.heard import hear, know_key
from breeding.exchange.models import HeldKeyWord, KnownKey
from breeding.exchange.said_one import say_one
from breeding.exchange.taking import take
from breeding.feeding.models import Food
from breeding.feeding.queries import appetites
from breeding.feeding.services import add_food, feed
from breeding.housing.looks import looks_of, record_look
from breeding.housing.models import Stay, Tank, WaterSource, WaterSystem
from breeding.housing.queries import free_tanks
from breeding.housing.services import move_animal
from breeding.housing.water.queries import standing_tests
from breeding.housing.water.services import record_water_test
from breeding.housing.water.systems import add_system
from breeding.housing.work.care import record_work
from breeding.housing.work.changes import record_changes
from breeding.housing.work.queries import last_change_of
from breeding.housing.work.rhythm import last_done
from breeding.housing.work.sources import add_source
from breeding.identity.models import SaidTwo, UntoldPicture
from breeding.identity.services import keep_untold, say_two
from breeding.litters.services import PupFacts, add_pup, record_birth
from breeding.litters.verdicts.deciding import decided, record_verdict
from breeding.origin.papers import add_origin_paper
from breeding.origin.proof import proof_of
from breeding.pairings.care.nursery import nursery_of
from breeding.pairings.care.rest import rest_until
from breeding.pairings.care.services import rest_after, tick_apart, tick_nursery
from breeding.pairings.models import Outcome
from breeding.pairings.season.reading import season_of
from breeding.pairings.services import record_outcome, record_scan
from breeding.planning import queries as planning
from breeding.planning.services import plan_pairing
from breeding.program import clock
from breeding.program.acts.mending import address_of, kind_named, kinds
from breeding.program.models import Withdrawable
from breeding.program.queries import the_program
from breeding.sheets.models import Sheet
from breeding.sheets.sealing.seal import fingerprint
from breeding.sheets.services import issue_sheet
from breeding.sheets.standing import standing_of
from breeding.traits.models import Trait
from breeding.traits.reading import reading_of
from breeding.traits.services import add_trait, write_look
from tests import cast
from tests.cast import ago, pair, see, signed_in, words
from tests.exchange.given import PUBLIC, given_file, given_succession
from tests.health import cases as health
from tests.hostile import SHARP

pytestmark = pytest.mark.django_db

# Kinds of records that keep a reason and have no page that withdraws them, each with why.
NOT_BY_HAND: dict[str, str] = {}
AT_TEN = datetime.datetime(2026, 11, 3, 10, tzinfo=datetime.UTC)


@pytest.fixture(autouse=True)
def _today():
    with time_machine.travel("2026-11-25 12:00:00Z", tick=False):
        yield


def a_couple():
    return cast.female(), cast.male()


def a_pairing():
    return pair(*a_couple(), 40, 30)


def a_sighting():
    return see(cast.female(), 3)


def a_scan():
    female, male = a_couple()
    pair(female, male, 100, 60)
    return record_scan(
        female=female, on=cast.day("2026-11-03"), positive=True, today=clock.today(), by=None
    )


def an_outcome():
    female, male = a_couple()
    pair(female, male, 900, 890)
    on = cast.day("2026-11-03")
    return record_outcome(female=female, on=on, kind="resorbed", today=clock.today(), by=None)


def a_birth(female):
    litter = record_birth(
        dam=female, born_on=ago(5), pups=[PupFacts()], today=clock.today(), by=None
    )
    return litter.outcome


def a_pup():
    litter = a_birth(cast.female()).litter
    return add_pup(litter, PupFacts(), by=None)


def a_rest():
    birth = a_birth(cast.female())
    return rest_after(birth, until=birth.on + datetime.timedelta(days=300), by=None)


def a_tick():
    return tick_nursery(cast.female(), "food", on=ago(1), by=None, now=clock.now())


def a_loan():
    vega = cast.female("Vega")
    change_state(vega, state="on_loan", on=cast.day("2026-10-05"))
    change_state(vega, state="here", on=cast.day("2026-11-03"))
    return vega.loans.get()


def a_stay():
    tank = Tank.objects.create(name="Pool")
    return move_animal(cast.female(), tank, on=cast.day("2026-11-03"), by=None)


def a_tank():
    return Tank.objects.create(name="Pool")


def an_answer():
    return answer_line("settle:1", by=None, today=clock.today(), note="no vet")


def a_reminder():
    facts = {"text": "Order worms", "on": cast.day("2026-12-01"), "tank": None}
    return set_reminder(**facts, by=None, today=clock.today())


def a_water_test():
    tank = Tank.objects.create(name="Tank 3")
    return record_water_test(tank, tested_at=AT_TEN, now=clock.now(), by=None, ph=7)


def a_look():
    stay = a_stay()
    look, _ = record_look(stay.tank, on=cast.day("2026-11-03"), today=clock.today(), by=None)
    return look


def kim():
    return services.add_contact(by=None, name="Kim Lund", sure=cast.SURE)


def a_reservation():
    return services.reserve_animal(cast.female("Vega"), kim(), by=None, on=clock.today())


def a_wish():
    return waiting.add_wish(kim(), by=None, wished_on=cast.day("2026-11-03"))


def a_hand_over():
    return hand_overs.hand_over(
        cast.female("Vega"),
        kim(),
        by=None,
        program=the_program(),
        on=clock.today(),
        today=clock.today(),
        transport="own_car",
    )


def a_paper():
    return add_origin_paper(cast.female("Vega"), by=None, today=clock.today(), permit_number="12/7")


def a_species():
    one = cast.species("jabuti")
    assert not one.is_withdrawn
    return one


def a_trait():
    return add_trait(by=None, name="Lace", inheritance="recessive", founder_share=Fraction(1, 20))


def a_look_at_a_trait():
    vega = Animal.objects.filter(call_name="Vega").first() or cast.female("Vega")
    on = cast.day("2026-11-03")
    return write_look(a_trait(), vega, "shows", on=on, today=on, by=None)


def a_strain():
    return add_strain(by=None, name="Paper Lantern")


def a_shared_water():
    return add_system(by=None, name="Boathouse sump")


def a_source():
    return add_source(by=None, today=clock.today(), name="Rain butt", comes_from="rain")


def a_water_change():
    tank = Tank.objects.create(name="Tank 3")
    more = {"percent": 30, "program": the_program(), "by": None}
    return record_changes([tank], changed_at=AT_TEN, now=clock.now(), **more).changes[0]


def a_tank_work():
    tank, on = Tank.objects.create(name="Tank 3"), cast.day("2026-11-03")
    return record_work(tank, kind="filter", on=on, today=clock.today(), by=None)


def a_food():
    return add_food(by=None, name="Smelt")


def a_taken_ancestry():
    content = given_file()
    return take(read_word(content), content, "", by=None)


def a_key_word():
    (held,) = hear([given_succession()], by=None)
    return held


def a_known_key():
    return know_key(
        told=fingerprint(PUBLIC),
        called="Kettle House",
        how="by telephone",
        on=cast.day("2026-11-03"),
        today=clock.today(),
        by=None,
    )


def a_said_one():
    kept = cast.female("Mira")
    gone = cast.ray("Old Mira", state="left", state_on=cast.day("2026-01-02"))
    return say_one(kept, gone, reason="the scar on its fin", by=None, now=clock.now())


def a_said_two():
    return say_two(cast.female("Ara"), cast.female("Sura"), by=None)


def a_picture_of_nobody():
    grey = BytesIO()
    Image.new("RGB", (90, 70), "grey").save(grey, "JPEG")
    grey.seek(0)
    read, today = read_picture(grey), clock.today()
    return keep_untold(read, taken_on=cast.day("2026-11-03"), today=today, by=None)


def a_round():
    vega, pool = cast.female("Vega"), Tank.objects.create(name="Pool")
    eaters, now = {vega: "none"}, clock.now()
    return feed(eaters, food=a_food(), tank=pool, fed_at=AT_TEN, now=now, by=None, sure=cast.SURE)


def a_plan():
    female, male = a_couple()
    today = clock.today()
    return plan_pairing(female=female, male=male, not_before=today, by=None, today=today)


def a_sheet():
    return issue_sheet(cast.female("Vega"), by=cast.keeper(), on=cast.day("2026-11-03"))


def an_animal():
    return cast.female("Vega", code="R7")


def a_measurement():
    return add_measurement(an_animal(), by=None, on=cast.day("2026-11-03"), weight_g=900)


def a_verdict():
    return record_verdict(
        an_animal(), decision="hold", on=cast.day("2026-11-03"), today=clock.today(), by=None
    )


def a_picture():
    out = BytesIO()
    Image.new("RGB", (400, 300), (90, 80, 70)).save(out, "JPEG")
    out.seek(0)
    return add_photograph(an_animal(), out, by=None, taken_on=cast.day("2026-11-03"))


def season(female):
    return season_of(female, the_program(), asof=clock.today())


def an_arrival():
    return write_how_it_came(
        cast.female("Vega"), by=None, today=clock.today(), contact=kim(), on=cast.day("2026-11-03")
    )


def a_loan_agreement():
    vega = cast.female("Vega", state_on=cast.day("2026-01-03"))
    return lend(vega, kim(), by=None, today=clock.today(), since=cast.day("2026-11-03"))


def a_young_given():
    castor, pip = cast.male("Castor", state_on=cast.day("2026-01-03")), cast.ray("Pip")
    loan = take_in(
        castor, kim(), by=None, today=clock.today(), since=cast.day("2026-10-03"), young_owed=2
    )
    name_young(loan, [pip], young_given=0, by=None, now=clock.now())
    return YoungGiven.objects.get()


def assumed_kin():
    (held,) = assume_kin([Belief(*a_couple(), "full", 1.0)], by=None)
    return held


def kinship(one):
    return lineage.current().pedigree.kinship(one.one_id, one.other_id)


@dataclass(frozen=True)
class Case:
    """A kind, a record of it, what its page and its receipt say, and whether it counts."""

    key: str
    make: Callable[[], Any]
    heading: str
    said: str
    counts: Callable[[Any], bool]


CASES = [
    Case(
        "arrival",
        an_arrival,
        "Withdraw how Vega came on Tue 3 Nov 2026",
        "How Vega came on Tue 3 Nov 2026 is withdrawn and no longer counts.",
        lambda one: how_it_came(one.animal).last is not None,
    ),
    Case(
        "assumed-kin",
        assumed_kin,
        "Withdraw what Mira and Deneb are taken to be",
        "What Mira and Deneb are taken to be is withdrawn and no longer counts.",
        lambda one: kinship(one) == 1 / 4,
    ),
    Case(
        "loan-agreement",
        a_loan_agreement,
        "Withdraw what was agreed on Vega, lent on Tue 3 Nov 2026",
        "What was agreed on Vega, lent on Tue 3 Nov 2026 is withdrawn and no longer counts.",
        lambda one: open_loans().filter(pk=one.pk).exists(),
    ),
    Case(
        "young-given",
        a_young_given,
        "Withdraw that Pip is given for the loan of Castor",
        "That Pip is given for the loan of Castor is withdrawn and no longer counts.",
        lambda one: bool(young_of(one.agreement).promised),
    ),
    Case(
        "species",
        a_species,
        "Withdraw the species Potamotrygon jabuti",
        "The species Potamotrygon jabuti is withdrawn and no longer counts.",
        lambda one: Species.objects.filter(pk=one.pk).exists(),
    ),
    Case(
        "strain",
        a_strain,
        "Withdraw the strain Paper Lantern",
        "The strain Paper Lantern is withdrawn and no longer counts.",
        lambda one: Strain.objects.filter(pk=one.pk).exists(),
    ),
    Case(
        "trait",
        a_trait,
        "Withdraw the trait Lace",
        "The trait Lace is withdrawn and no longer counts.",
        lambda one: Trait.objects.filter(pk=one.pk).exists(),
    ),
    Case(
        "trait_look",
        a_look_at_a_trait,
        "Withdraw “shows it” of Lace on Vega, 3 November 2026",
        "“shows it” of Lace on Vega, 3 November 2026 is withdrawn and no longer counts.",
        lambda one: not reading_of(one.trait).is_blank,
    ),
    Case(
        "shared-water",
        a_shared_water,
        "Withdraw the shared water Boathouse sump",
        "The shared water Boathouse sump is withdrawn and no longer counts.",
        lambda one: WaterSystem.objects.filter(pk=one.pk).exists(),
    ),
    Case(
        "food",
        a_food,
        "Withdraw the food Smelt",
        "The food Smelt is withdrawn and no longer counts.",
        lambda one: Food.objects.filter(pk=one.pk).exists(),
    ),
    Case(
        "taken-ancestry",
        a_taken_ancestry,
        "Withdraw the ancestry from Kettle House",
        "The ancestry from Kettle House is withdrawn and no longer counts.",
        lambda one: Animal.objects.filter(code__startswith="K3-").exists(),
    ),
    Case(
        "key-word",
        a_key_word,
        "Withdraw the word: ",
        " is withdrawn and no longer counts.",
        lambda one: HeldKeyWord.objects.filter(pk=one.pk).exists(),
    ),
    Case(
        "known-key",
        a_known_key,
        "Withdraw the key of Kettle House",
        "The key of Kettle House is withdrawn and no longer counts.",
        lambda one: KnownKey.objects.filter(pk=one.pk).exists(),
    ),
    Case(
        "said-one",
        a_said_one,
        "Withdraw the word that Mira and Old Mira are one",
        "The word that Mira and Old Mira are one is withdrawn and no longer counts.",
        lambda one: not Animal.objects.filter(call_name="Old Mira").exists(),
    ),
    Case(
        "said-two",
        a_said_two,
        "Withdraw the word that Ara and Sura are two",
        "The word that Ara and Sura are two is withdrawn and no longer counts.",
        lambda one: SaidTwo.objects.filter(pk=one.pk).exists(),
    ),
    Case(
        "untold-picture",
        a_picture_of_nobody,
        "Withdraw the picture of Tue 3 Nov 2026 of nobody yet",
        "The picture of Tue 3 Nov 2026 of nobody yet is withdrawn and no longer counts.",
        lambda one: UntoldPicture.objects.filter(pk=one.pk).exists(),
    ),
    Case(
        "feeding",
        a_round,
        "Withdraw the round",
        "The round of Pool on Tue 3 Nov 2026, 10:00 is withdrawn and no longer counts.",
        lambda one: bool(
            appetites([one.meals.get().animal_id], clock.today()).popitem()[1].refusals
        ),
    ),
    Case(
        "animal",
        an_animal,
        "Withdraw Vega (R7)",
        "Vega (R7) is withdrawn and no longer counts.",
        lambda one: Animal.objects.filter(pk=one.pk).exists(),
    ),
    Case(
        "verdict",
        a_verdict,
        "Withdraw what was decided of Vega on Tue 3 Nov 2026",
        "What was decided of Vega on Tue 3 Nov 2026 is withdrawn and no longer counts. "
        "For Vega it now says: not decided yet.",
        lambda one: decided(one.animal).is_held_back,
    ),
    Case(
        "measurement",
        a_measurement,
        "Withdraw the measurement of Vega on Tue 3 Nov 2026",
        "The measurement of Vega on Tue 3 Nov 2026 is withdrawn and no longer counts.",
        lambda one: one in one.animal.measurements.all(),
    ),
    Case(
        "loan",
        a_loan,
        "Withdraw the loan of Vega from Mon 5 Oct 2026 to Tue 3 Nov 2026",
        "The loan of Vega from Mon 5 Oct 2026 to Tue 3 Nov 2026 is withdrawn and no longer counts.",
        lambda one: one in one.animal.loans.all(),
    ),
    Case(
        "photograph",
        a_picture,
        "Withdraw the photograph of Vega, Tue 3 Nov 2026",
        "The photograph of Vega, Tue 3 Nov 2026 is withdrawn and no longer counts. "
        "Vega has no portrait now.",
        lambda one: anew(one.animal).portrait_id is not None,
    ),
    Case(
        "pairing",
        a_pairing,
        "Withdraw the pairing of Mira and Deneb",
        "The pairing of Mira and Deneb is withdrawn and no longer counts.",
        lambda one: bool(season(one.female).company),
    ),
    Case(
        "sighting",
        a_sighting,
        "Withdraw the sighting of Mira: Mating <small>Sun 22 Nov 2026, 12:00</small>",
        "The sighting “Mating” of Mira on Sun 22 Nov 2026, 12:00 is withdrawn and no longer "
        "counts.",
        lambda one: season(one.female).since is not None,
    ),
    Case(
        "scan",
        a_scan,
        "Withdraw the scan of Mira on 3 November 2026",
        "The scan of Mira on 3 November 2026 is withdrawn and no longer counts.",
        lambda one: season(one.female).estimate.chance > 0.9,
    ),
    Case(
        "outcome",
        an_outcome,
        "Withdraw the record “resorbed” of Mira on 3 November 2026",
        "The record “resorbed” of Mira on 3 November 2026 is withdrawn and no longer counts. "
        "The season before it is open again.",
        lambda one: not season(one.female).company,
    ),
    Case(
        "litter",
        lambda: a_birth(cast.female()).litter,
        "Withdraw the birth of litter 26-01 <small>Mira, 20 November 2026",
        "The birth of litter 26-01 is withdrawn and no longer counts. Its pups no longer count, "
        "and Mira&#x27;s season is open again.",
        lambda one: season(one.dam).last_outcome is not None,
    ),
    Case(
        "pup",
        a_pup,
        "Withdraw pup 2 of litter 26-01",
        "Pup 2 of litter 26-01 is withdrawn and no longer counts.",
        lambda one: Animal.objects.filter(code="26-01-2").exists(),
    ),
    Case(
        "rest",
        a_rest,
        "Withdraw the rest of Mira until 16 September 2027",
        "The rest of Mira until 16 September 2027 is withdrawn and no longer counts. "
        "What was said of her rest before that counts again.",
        lambda one: rest_until(one.outcome.female, the_program(), asof=clock.today()) == one.until,
    ),
    Case(
        "nursery-tick",
        a_tick,
        "Withdraw the tick “food for the pups ready” for Mira on 24 November 2026",
        "The tick “food for the pups ready” for Mira on 24 November 2026 is withdrawn and "
        "no longer counts. It has to be seen to again.",
        lambda one: (
            "food for the pups ready" not in nursery_of(season(one.female), the_program()).lacks
        ),
    ),
    Case(
        "stay",
        a_stay,
        "Remove this stay <small>Mira in Pool, Tue 3 Nov 2026 to now</small>",
        "The stay of Mira in Pool since Tue 3 Nov 2026 is withdrawn and no longer counts. "
        "It stays readable below.",
        lambda one: Stay.objects.filter(pk=one.pk).exists(),
    ),
    Case(
        "tank",
        a_tank,
        "Give up Pool",
        "The tank Pool is withdrawn and no longer counts. Who was in it stays on record.",
        lambda one: one in free_tanks(clock.today()),
    ),
    Case(
        "answer",
        an_answer,
        "Take back the answer “done” <small>a scan could tell; given Wed 25 Nov 2026",
        "is withdrawn and no longer counts. The day asks again while it is due.",
        lambda one: one.key in agenda_queries._answers([one.key]),
    ),
    Case(
        "reminder",
        a_reminder,
        "Withdraw the reminder “Order worms” <small>for Tue 1 Dec 2026, once",
        "The reminder “Order worms” is withdrawn and no longer counts. The day no longer asks.",
        lambda one: Reminder.objects.filter(pk=one.pk).exists(),
    ),
    Case(
        "water-test",
        a_water_test,
        "Withdraw the water test <small>of Tank 3, Tue 3 Nov 2026, 10:00</small>",
        "The water test of Tank 3 on Tue 3 Nov 2026, 10:00 is withdrawn and no longer counts.",
        lambda one: one in standing_tests(),
    ),
    Case(
        "water-change",
        a_water_change,
        "Withdraw the water change of Tank 3 on Tue 3 Nov 2026, 10:00",
        "The water change of Tank 3 on Tue 3 Nov 2026, 10:00 is withdrawn and no longer counts.",
        lambda one: last_change_of(one.tank) == one,
    ),
    Case(
        "tank-work",
        a_tank_work,
        "Withdraw the care “filter rinsed” of Tank 3 on Tue 3 Nov 2026",
        "The care “filter rinsed” of Tank 3 on Tue 3 Nov 2026 is withdrawn and no longer counts.",
        lambda one: bool(last_done([one.tank], clock.today())[one.tank_id]),
    ),
    Case(
        "source-water",
        a_source,
        "Withdraw the source water Rain butt",
        "The source water Rain butt is withdrawn and no longer counts.",
        lambda one: WaterSource.objects.filter(pk=one.pk).exists(),
    ),
    Case(
        "look",
        a_look,
        "Withdraw the look at all in Pool on Tue 3 Nov 2026",
        "The look at all in Pool on Tue 3 Nov 2026 is withdrawn and no longer counts. "
        "That nothing was seen that day no longer counts.",
        lambda one: bool(looks_of(one.tank)[0]),
    ),
    Case(
        "contact",
        kim,
        "Withdraw the contact Kim Lund",
        "The contact Kim Lund is withdrawn and no longer counts.",
        lambda one: one in ReservationForm().fields["contact"].queryset,
    ),
    Case(
        "reservation",
        a_reservation,
        "Let the reservation of Vega go <small>reserved for Kim Lund since Wed 25 Nov 2026",
        "The reservation of Vega for Kim Lund is withdrawn and no longer counts. "
        "Vega is free again.",
        lambda one: services.reservation_of(one.animal) is not None,
    ),
    Case(
        "wish",
        a_wish,
        "Take the wish off the list",
        "The wish of Kim Lund from 3 November 2026 is withdrawn and no longer counts. "
        "It is off the list.",
        lambda one: one in waiting.standing_wishes(),
    ),
    Case(
        "hand-over",
        a_hand_over,
        "Withdraw the hand-over of Vega",
        "The hand-over of Vega to Kim Lund is withdrawn and no longer counts. "
        "Vega never left, and is where it was.",
        lambda one: one.is_away,
    ),
    Case(
        "paper",
        a_paper,
        "Withdraw a paper of Vega",
        "The paper of Vega with the number 12/7 is withdrawn and no longer counts.",
        lambda one: (
            one.pk
            in [
                paper.pk
                for station in proof_of(one.animal, asof=clock.today()).stations
                for paper in station.papers
            ]
        ),
    ),
    *(Case(*one) for one in health.CASES),
    Case(
        "planned-pairing",
        a_plan,
        "Give up Mira and Deneb",
        "The plan for Mira and Deneb is withdrawn and no longer counts. "
        "Mira and Deneb are no longer planned.",
        lambda one: one in planning.waiting(),
    ),
    Case(
        "sheet",
        a_sheet,
        "Withdraw sheet",
        "is withdrawn and no longer counts. Whoever opens its link is told.",
        lambda one: standing_of(Sheet.objects.get(pk=one.pk)).is_good,
    ),
]
of_each_kind = pytest.mark.parametrize("case", CASES, ids=[case.key for case in CASES])


def anew(record):
    return type(record)._base_manager.get(pk=record.pk)


# ----------------------------------------------------------------------------- of every kind


def test_every_kind_is_tried_here():
    assert sorted(case.key for case in CASES) == [kind.key for kind in kinds()]


def test_every_record_that_keeps_a_reason_has_its_page():
    """A model that derives from Withdrawable is added by its room, or says why not."""
    added = {kind.model for kind in kinds()}
    missing = {
        model._meta.label
        for model in apps.get_models()
        if issubclass(model, Withdrawable) and model not in added
    }
    assert missing == set(NOT_BY_HAND)


@of_each_kind
def test_a_record_is_withdrawn_with_the_reason_and_counts_no_more(owner, case):
    record = case.make()
    client = signed_in(owner)
    address = reverse("program:withdraw", args=[case.key, record.pk])
    assert address_of(record) == address
    assert f"<h1> {case.heading}" in words(client.get(address))
    assert case.counts(anew(record))
    page = client.post(address, {"reason": "It was Izar & co."}, follow=True)
    assert page.status_code == 200
    assert case.said in words(page)
    assert not case.counts(anew(record))


@of_each_kind
def test_a_withdrawn_record_stays_readable_with_who_and_why(owner, case):
    record = case.make()
    client = signed_in(owner)
    address = address_of(record)
    client.post(address, {"reason": "It was Izar"})
    page = words(client.get(address))
    assert "ithdrawn" in page or "Given up on" in page
    assert " by Jo: It was Izar</p>" in page
    assert "<textarea" not in page
    assert 'name="reason"' not in page


@of_each_kind
def test_sent_twice_is_withdrawn_once_and_says_so(owner, case):
    record = case.make()
    client = signed_in(owner)
    address = address_of(record)
    client.post(address, {"reason": "It was Izar"})
    answer = client.post(address, {"reason": "once more"})
    assert answer.status_code == 200
    page = words(answer)
    assert 'class="errorlist nonfield"' in page
    assert "already" in page
    assert " by Jo: It was Izar</p>" in page
    assert "once more" not in page


@of_each_kind
@pytest.mark.one_database("a form cleans what was typed before any query")
def test_without_a_reason_nothing_is_withdrawn(owner, case):
    record, client = case.make(), signed_in(owner)
    for reason in ("", "  ", "x" * 201):
        assert client.post(address_of(record), {"reason": reason}).status_code == 200, reason
        assert case.counts(anew(record)), reason


@of_each_kind
@pytest.mark.one_database("roles are decided before any query")
def test_a_viewer_and_a_stranger_withdraw_nothing(viewer, stranger, case):
    record = case.make()
    address = address_of(record)
    as_viewer = signed_in(viewer)
    assert as_viewer.get(address).status_code == 403
    assert as_viewer.post(address, {"reason": "It was Izar"}).status_code == 403
    for answer in (stranger.get(address), stranger.post(address, {"reason": "It was Izar"})):
        assert answer.status_code == 302
        assert answer.url.startswith(reverse("program:sign_in"))
    assert case.counts(anew(record))


@of_each_kind
def test_what_is_not_there_is_not_found(as_keeper, case):
    for pk in (999_999, 99_999_999_999_999_999_999):
        address = reverse("program:withdraw", args=[case.key, pk])
        assert as_keeper.get(address).status_code == 404
        assert as_keeper.post(address, {"reason": "It was Izar"}).status_code == 404


@of_each_kind
def test_nonsense_never_breaks_a_page(as_owner, case):
    record = case.make()
    for nonsense in SHARP:
        answer = as_owner.post(address_of(record), {"reason": nonsense, "back_to_previous": "²"})
        assert answer.status_code in (200, 302), nonsense


def test_a_kind_that_there_is_not_is_not_found(as_keeper):
    for kind in ("x", "Pairing", "program"):
        assert as_keeper.get(f"/withdraw/{kind}/1/").status_code == 404
    assert as_keeper.get("/withdraw/pairing/x/").status_code == 404


def test_a_record_of_no_kind_has_no_such_page(owner):
    with pytest.raises(LookupError, match="No room has said how a person is withdrawn"):
        address_of(owner)


def test_what_is_for_owners_a_keeper_does_not_withdraw(as_keeper, as_owner, monkeypatch):
    monkeypatch.setattr(type(kind_named("wish")), "for_owners", True)
    wish = a_wish()
    answer = as_keeper.post(address_of(wish), {"reason": "has one"})
    assert answer.status_code == 403
    assert "Only an owner of the program may do this." in words(answer)
    as_owner.post(address_of(wish), {"reason": "has one"})
    assert anew(wish).withdrawn_by.username == "jo"


def test_one_who_was_quicker_is_not_written_over(owner, keeper):
    """The page was opened by both before either sent it."""
    kind, wish = kind_named("wish"), a_wish()
    kind.withdraw(wish.pk, {"reason": "has one"}, by=keeper, now=clock.now())
    assert not wish.is_withdrawn  # as the other still sees it
    with pytest.raises(ValidationError, match="withdrawn already"):
        kind.withdraw(wish.pk, {"reason": "moved away"}, by=owner, now=clock.now())
    kept = anew(wish)
    assert (kept.withdrawn_by, kept.withdrawn_reason) == (keeper, "has one")


# ------------------------------------------------------------------------ what some say besides


def test_a_birth_does_not_go_alone_and_the_reason_is_kept_in_the_form(as_keeper):
    birth = a_birth(cast.female())
    page = words(as_keeper.post(address_of(birth), {"reason": "It was Izar"}))
    assert f"This birth belongs to {birth.litter}; it cannot go alone." in page
    assert 'value="It was Izar"' in page
    assert not Outcome.objects.get().is_withdrawn


def test_a_tick_after_a_birth_leads_back_to_her_season(as_keeper):
    female = cast.female()
    birth = a_birth(female)
    tick = tick_apart(birth, on=clock.today(), by=None)
    answer = as_keeper.post(address_of(tick), {"reason": "not yet"})
    assert answer.url == reverse("pairings:female", args=[female.pk])


@pytest.mark.parametrize(
    ("make", "route", "about"),
    [
        (a_pairing, "pairings:female", lambda one: one.female_id),
        (a_sighting, "pairings:female", lambda one: one.female_id),
        (a_tick, "pairings:nursery", lambda one: one.female_id),
        (a_stay, "housing:stays", lambda one: one.animal_id),
        (a_water_test, "housing:detail", lambda one: one.tank_id),
        (a_reservation, "buyers:detail", lambda one: one.contact_id),
        (a_hand_over, "animals:detail", lambda one: one.animal_id),
        (a_paper, "origin:detail", lambda one: one.animal_id),
        (a_sheet, "sheets:detail", lambda one: one.pk),
    ],
)
def test_the_page_afterwards_is_the_one_it_stood_on(owner, make, route, about):
    record = make()
    answer = signed_in(owner).post(address_of(record), {"reason": "It was Izar"})
    assert answer.url == reverse(route, args=[about(record)])


def test_a_deposit_that_was_paid_is_asked_about(as_keeper):
    kept = services.reserve_animal(
        cast.female("Vega"),
        kim(),
        by=None,
        on=clock.today(),
        deposit=50,
        deposit_currency="GBP",
        deposit_paid_on=clock.today(),
    )
    page = words(as_keeper.get(address_of(kept)))
    assert "A deposit of 50.00 GBP was paid" in page
    assert "say below what becomes of it." in page
    assert "deposit" not in words(as_keeper.get(address_of(a_wish())))


def test_a_hand_over_that_came_back_is_another_thing(as_keeper):
    gone = a_hand_over()
    page = words(as_keeper.get(address_of(gone)))
    assert "Only when it never went to Kim Lund: Vega is then where it was, and reserved" in page
    back = reverse("buyers:come_back", args=[gone.pk])
    assert f'If it went and came back, <a href="{back}">write that down instead</a>.' in page


def test_a_sheet_is_rather_corrected(as_keeper):
    sheet = issue_sheet(cast.female("Vega"), by=None, on=cast.day("2026-11-03"))
    page = words(as_keeper.get(address_of(sheet)))
    assert (
        "It stays as it was issued. Whoever opens its link is told that it is no longer valid"
        in page
    )
    new = reverse("sheets:new", args=[sheet.animal_id])
    assert f'<a href="{new}?corrects={sheet.number}">issue a correction in its place</a>' in page


def test_a_stay_that_was_withdrawn_may_have_been_corrected(as_keeper):
    stay = a_stay()
    as_keeper.post(address_of(stay), {"reason": "It was Izar"})
    assert "Withdrawn or corrected on" in words(as_keeper.get(address_of(stay)))


def test_a_wish_and_a_paper_are_shown_in_words(as_keeper):
    wish, paper = a_wish(), a_paper()
    page = words(as_keeper.get(address_of(wish)))
    assert "Any pup, since Tue 3 Nov 2026 (22 days ago)." in page
    assert "Fulfilled, or given up? It stays readable." in page
    page = words(as_keeper.get(address_of(paper)))
    assert "Number 12/7, date not recorded, no document kept. It no longer counts" in page


def test_the_page_belongs_to_the_room_of_its_record(as_keeper):
    page = words(as_keeper.get(address_of(a_reservation())))
    assert '<a href="/buyers/" aria-current="page">Contacts</a>' in page
    assert '<a href="/more/">More</a>' in page


def test_names_are_written_as_text_and_never_as_markup(as_keeper):
    scan = record_scan(
        female=cast.female("<i>Vega"), on=ago(1), positive=False, today=clock.today(), by=None
    )
    page = words(as_keeper.get(address_of(scan)))
    assert "<i>Vega" not in page
    assert "&lt;i&gt;Vega" in page
