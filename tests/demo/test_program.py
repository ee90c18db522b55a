"""The demonstration is alive on whatever day it is opened, and the same each time."""

import datetime
import hashlib
from fractions import Fraction
from functools import partial
from io import StringIO
from pathlib import Path

import pytest
from django.apps import apps
from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.management import CommandError, call_command
from django.db import models, transaction
from django.http import HttpRequest
from django.test import override_settings

from breeding.agenda.queries import the_day
from breeding.animals import lineage
from breeding.animals.models import Animal, Measurement, Photograph, Species
from breeding.arrivals.models import Arrival, LoanAgreement
from breeding.buyers.models import Contact, HandOver, Reservation, Wish
from breeding.demo.acts import PupWords
from breeding.demo.drawn import bodies as demo_bodies
from breeding.demo.program import load_demo, read_demo_file
from breeding.housing.models import Tank
from breeding.housing.queries import water_fit, where_are
from breeding.litters.models import Litter
from breeding.litters.queries import pups_of
from breeding.offers.models import SalesPage
from breeding.origin.models import OriginPaper
from breeding.pairings.care.nursery import nursery_of
from breeding.pairings.care.rest import rest_until
from breeding.pairings.care.separation import separation_of
from breeding.pairings.care.thinning import weight_loss_of
from breeding.pairings.care.wounds import wounds_of
from breeding.pairings.models import Outcome, Pairing, Scan, Sighting
from breeding.pairings.queries import females_to_log, males_here
from breeding.pairings.season.disagreements import disagreements
from breeding.pairings.season.reading import season_of, seasons
from breeding.pairings.services import open_pairing
from breeding.pairings.species_file import load_species
from breeding.planning.queries import waiting
from breeding.program.models import Person, Program
from breeding.sheets.models import Sheet
from tests import cast
from tests.records.archive.loop import check_round_trip, counts_of, files_of

TODAY = cast.day("2028-02-29")
NEW_YEAR, CLOCKS_GO_BACK = cast.day("2027-01-01"), cast.day("2026-10-25")


ago = partial(cast.ago, today=TODAY)


def females_by_story() -> dict[str, str]:
    return {entry["story"]: entry["female"] for entry in read_demo_file()["pairings"]}


def season_by_story(today: datetime.date):
    """Each told female's season, reckoned from the records as any page does."""
    found = {one.female.name: one for one in seasons(Program.objects.get(), asof=today)}
    return {story: found.get(name) for story, name in females_by_story().items()}


def asked(season) -> set[str]:
    return {action.kind for action in season.actions}


def check_that_every_stage_is_there(today: datetime.date) -> None:
    told = season_by_story(today)
    assert told["just introduced"].estimate.chance < 0.15
    assert told["just introduced"].together_since == today - datetime.timedelta(days=2)
    assert 0.5 < told["mated last week"].estimate.chance < 0.9  # seen once: likely, not sure
    assert "separate_now" in asked(told["bitten"])
    assert told["mid-term"].estimate.chance >= 0.9
    assert [scan.positive for scan in told["mid-term"].scans] == [True]
    assert (told["mid-term"].estimate.announced.p05 - today).days > 14
    assert told["due in days"].estimate.announced.p05 <= today
    assert 0 < (told["due in days"].estimate.due.p50 - today).days < 14
    assert told["overdue"].is_overdue
    # Too unlikely to plan for, and her window opens now: the chance is said, and a scan offered.
    assert asked(told["a scan could settle it"]) == {"perhaps_due"}
    assert "separate_by" in asked(told["still together, due in weeks"])
    overdue = {name for name, one in told.items() if one is not None and one.is_overdue}
    assert overdue == {"overdue"}
    (newest,) = Litter.objects.filter(born_on__gte=today - datetime.timedelta(days=2))
    assert newest.pups.filter(animal__state="here").count() >= 4


@pytest.fixture
def quick_drawings(monkeypatch):
    """One small drawing for every animal: these tests look at dates, not at pictures."""
    looks = demo_bodies.founder_looks("motoro", 1)
    picture = demo_bodies.draw(looks, sex="female", side_px=64)
    monkeypatch.setattr(demo_bodies.Family, "portrait", lambda self, name, sex: picture)


@pytest.fixture(scope="class")
def demo(django_db_setup, django_db_blocker, tmp_path_factory):
    """The demonstration once for a class of tests, with its directory; taken back at the end."""
    files = tmp_path_factory.mktemp("files")
    with (
        django_db_blocker.unblock(),
        override_settings(MEDIA_ROOT=files),
        transaction.atomic(),
    ):
        load_species()
        load_demo(TODAY)
        yield files
        transaction.set_rollback(True)


@pytest.mark.django_db
@pytest.mark.usefixtures("demo")
class TestTheProgramAsItStandsOnALeapDay:
    def test_it_has_a_dozen_tanks_and_60_to_90_animals_over_four_generations(self):
        assert Tank.objects.count() == 12
        assert 60 <= Animal.objects.count() <= 90
        parents = {one.pk: (one.sire_id, one.dam_id) for one in Animal.objects.all()}

        def generation(pk: int) -> int:
            known = [parent for parent in parents[pk] if parent]
            return 1 + max(map(generation, known), default=-1)

        assert max(map(generation, parents)) >= 3  # founders are generation 0

    def test_its_founders_are_wild_bought_and_of_unknown_origin(self):
        founders = Animal.objects.filter(sire=None, dam=None, possible_sires=None)
        assert set(founders.values_list("origin", flat=True)) == {"wild", "elsewhere", "unknown"}

    def test_people_sign_in_with_the_password_that_start_prints(self, client):
        roles = dict(Person.objects.values_list("username", "role"))
        assert roles == {"jo": "owner", "sam": "keeper", "kit": "viewer"}
        for username in roles:
            assert client.login(request=HttpRequest(), username=username, password="lantern-street")
        assert {str(person) for person in Person.objects.all()} == {"Jo", "Sam", "Kit"}

    def test_females_are_at_every_stage(self):
        check_that_every_stage_is_there(TODAY)

    def test_the_day_has_something_pressing_and_one_line_is_done_already(self):
        day = the_day(Program.objects.get(), today=TODAY)
        assert {line.urgency for line in day.lines} == {"now", "soon", "later"}
        ((line, answer),) = day.answered
        assert (line.who, line.what) == ("Adhara", "make a nursery ready")
        assert answer.recorded_by.username == "sam"

    def test_the_closest_kin_that_could_be_paired_stop_at_the_threshold_by_name(self):
        """Full siblings of unrelated parents: F of the young 1/4 (Wright 1922)."""
        sister, brother = (Animal.objects.get(call_name=name) for name in ("Sabik", "Lesath"))
        assert sister in females_to_log(TODAY)
        assert brother in males_here()
        assert lineage.current().pedigree.kinship(sister.pk, brother.pk) == 1 / 4
        with pytest.raises(ValidationError, match="asks for a reason"):
            open_pairing(
                female=sister,
                male=brother,
                introduced_on=TODAY,
                program=Program.objects.get(),
                by=None,
                today=TODAY,
            )

    def test_one_close_pairing_is_open_with_its_reason_kept(self):
        """A male and his son's daughter: three animals on the one path, F = 1/8 (Wright 1922)."""
        (close,) = Pairing.objects.filter(separated_on=None, inbreeding_expected__gte=0.125)
        assert close.inbreeding_expected == 1 / 8
        assert "pale" in close.reason
        assert lineage.current().inbreeding[Animal.objects.get(call_name="Talitha").pk] == 1 / 8

    def test_pure_crossed_and_unknown_ancestry_are_all_there(self):
        """Own arithmetic: the mean of the parents' shares."""
        short = {one.pk: one.short_name for one in Species.objects.all()} | {None: "unknown"}

        def shares(name):
            own = lineage.current().shares[Animal.objects.get(call_name=name).pk]
            return {short[key]: share for key, share in own.items() if share}

        assert shares("Izar") == {"P. motoro": 1}
        assert shares("Adhara") == {"P. leopoldi": 1}
        assert shares("Porrima") == {"P. motoro": Fraction(1, 2), "P. leopoldi": Fraction(1, 2)}
        assert shares("Nekkar") == {"P. motoro": Fraction(3, 4), "P. leopoldi": Fraction(1, 4)}
        assert shares("Taygeta") == {"P. motoro": Fraction(1, 4), "unknown": Fraction(3, 4)}
        assert shares("Electra") == {"unknown": 1}

    def test_one_litter_has_two_possible_sires_and_one_ray_no_known_dam(self):
        doubtful = Animal.objects.get(call_name="Alphecca")
        rows = doubtful.possible_sires.values_list("sire__call_name", "share")
        assert dict(rows) == {"Mizar": Fraction(3, 5), "Regulus": Fraction(2, 5)}
        bought = Animal.objects.get(call_name="Merope")
        assert (bought.sire.name, bought.dam) == ("Regulus", None)

    def test_the_pale_line_is_those_and_only_those_drawn_pale(self):
        pale = Animal.objects.filter(strain__name="Paper Lantern")
        assert {"Albireo", "Celaeno", "Talitha"} <= {one.name for one in pale}
        assert Animal.objects.filter(strain=None, sire__in=pale).exists()  # one copy hides

    def test_some_pups_may_leave_and_some_may_not_yet(self):
        litters = list(Litter.objects.filter(born_on__gte=TODAY - datetime.timedelta(days=90)))
        found = pups_of(litters, asof=TODAY)
        ready = [
            sum(one.is_ready for one in found[litter.pk] if one.pup.animal) for litter in litters
        ]
        # Newest first: on the floor, 27 days, 66 days with two slow and one held back.
        assert ready == [0, 0, 3]
        assert any(one.is_better for one in found[litters[-1].pk])

    def test_some_have_died_left_or_are_on_loan(self):
        states = list(Animal.objects.values_list("state", flat=True))
        assert states.count("died") >= 3
        assert states.count("left") >= 5
        assert states.count("on_loan") == 1

    def test_whoever_is_here_is_in_a_tank_and_pairs_share_one(self):
        where = where_are(Animal.objects.filter(state="here"))
        assert len(where) == Animal.objects.filter(state="here").count()
        forgotten = set()
        for pair in Pairing.objects.filter(separated_on=None):
            if where[pair.female_id].tank != where[pair.male_id].tank:
                forgotten.add(str(pair.female))
        assert forgotten == {"Spica"}

    def test_a_pairing_of_two_that_sit_in_different_tanks_is_pointed_out_on_the_day(self):
        told = [
            one for one in disagreements(Program.objects.get(), asof=TODAY) if one.kind == "apart"
        ]
        assert [one.female.name for one in told] == ["Spica"]
        lines = the_day(Program.objects.get(), today=TODAY).lines
        assert any("Spica" in line.who and "Boat Loft" in line.why for line in lines)

    def test_bite_marks_are_drawn_from_look_to_look(self):
        capella, shaula = (Animal.objects.get(call_name=name) for name in ("Capella", "Shaula"))
        looks = wounds_of(capella)
        assert [one.degree.number for one in looks] == [1, 2, 3]
        assert all(one.sighting.photograph.is_drawing for one in looks)
        assert [one.degree.number for one in wounds_of(shaula)] == [2, 1, 0]
        assert capella.portrait not in [one.sighting.photograph for one in looks]

    def test_separations_say_who_moved_where_and_what_was_planned(self):
        program = Program.objects.get()
        apart = Pairing.objects.get(female__call_name="Shaula", introduced_on=ago(80))
        assert (apart.moved, str(apart.moved_to)) == ("male", "Boat Loft")
        told = separation_of(apart, program)
        assert told.plan_words.startswith("3 days before the planned")
        assert Pairing.objects.filter(moved="divider").exists()
        ahead = Pairing.objects.get(female__call_name="Izar", separated_on=None)
        assert ahead.separation_planned_on == TODAY + datetime.timedelta(days=5)

    def test_the_nursery_of_the_one_that_is_due_is_ticked_but_for_the_food(self):
        adhara = Animal.objects.get(call_name="Adhara")
        nursery = nursery_of(
            season_of(adhara, Program.objects.get(), asof=TODAY), Program.objects.get()
        )
        assert str(nursery.tank.tank) == "Sail Locker"
        assert nursery.lacks == ["food for the pups ready"]

    def test_dams_rest_one_female_grows_thin_and_scans_have_a_name(self):
        program = Program.objects.get()
        markab, pleione = (Animal.objects.get(call_name=name) for name in ("Markab", "Pleione"))
        assert rest_until(markab, program, asof=TODAY) == ago(27) + datetime.timedelta(days=120)
        loss = weight_loss_of(season_of(pleione, program, asof=TODAY))
        assert 0.1 < loss.share < 0.2
        girths = Measurement.objects.filter(animal__call_name="Shaula", girth_mm__isnull=False)
        assert girths.count() == 4
        assert not Scan.objects.filter(done_by="").exists()

    def test_two_pairings_wait_for_their_day(self):
        assert [str(one.female) for one in waiting()] == ["Taygeta", "Mira"]

    def test_water_is_fit_not_fit_or_not_known_and_some_tanks_share_it(self):
        tanks = {tank.name: tank for tank in Tank.objects.all()}
        fits = {name: water_fit(tank, TODAY).fit for name, tank in tanks.items()}
        assert fits["Sail Locker"] is fits["Rope Locker"] is True
        assert fits["Galley"] is fits["Chart Room"] is True  # by the test of the Rope Locker
        assert "nitrite 0.1 mg/L" in water_fit(tanks["Landing Stage"], TODAY).words
        assert list(fits.values()).count(None) >= 3  # tests too old, or no pH
        assert len({tanks[name].system for name in ("Galley", "Chart Room", "Rope Locker")}) == 1

    def test_two_females_are_on_the_sides_of_one_closed_divider(self):
        where = where_are(Animal.objects.filter(call_name__in=["Porrima", "Adhara"]))
        assert {stay.place for stay in where.values()} == {
            "Sail Locker, left side",
            "Sail Locker, right side",
        }

    def test_males_are_kept_from_pups_and_from_females_soon_due(self):
        where = where_are(Animal.objects.filter(state="here"))
        grown = Animal.objects.filter(
            state="here", sex="M", born_on__lt=TODAY - datetime.timedelta(days=400)
        )
        nurseries = {
            where[one.pk].tank.name for one in grown if where[one.pk].tank.kind == "nursery"
        }
        assert nurseries == set()

    def test_jo_and_sam_have_seen_a_good_deal_lately_and_one_sighting_is_withdrawn(self):
        lately = Sighting.objects.filter(seen_at__date__gte=TODAY - datetime.timedelta(days=30))
        assert lately.count() >= 20
        assert {one.recorded_by.username for one in lately} == {"jo", "sam"}
        (mistaken,) = Sighting.objects.exclude(withdrawn_at=None)
        assert mistaken.withdrawn_reason
        assert set(Outcome.objects.values_list("kind", flat=True)) >= {"resorbed", "not_pregnant"}

    def test_pups_grow_from_week_to_week_and_adults_are_measured_too(self):
        (litter,) = Litter.objects.filter(born_on=TODAY - datetime.timedelta(days=66))
        for pup in litter.pups.all():
            widths = list(
                pup.animal.measurements.order_by("on").values_list("disc_width_mm", flat=True)
            )
            assert len(widths) == 10  # the day of birth and nine weeks
            assert widths == sorted(widths)
        adult = Measurement.objects.filter(animal__call_name="Shaula").first()
        assert adult.on > TODAY - datetime.timedelta(days=370)

    def test_portraits_are_dated_drawings_some_stale_and_some_missing(self):
        pictures = Photograph.objects.all()
        assert 40 <= pictures.count() <= 70
        assert all(one.is_drawing and one.taken_on for one in pictures)
        stale = TODAY - datetime.timedelta(days=730)
        assert pictures.filter(taken_on__lt=stale, animal__state="here").exists()
        assert Animal.objects.filter(portrait=None, state="here").exclude(call_name="").exists()

    def test_two_juveniles_came_and_nobody_has_said_whether_as_kin(self):
        one, other = Arrival.objects.select_related("animal")
        assert one.contact == other.contact
        found = lineage.current()
        assert found.open_kin(one.animal_id, other.animal_id)

    def test_one_is_lent_out_and_one_belongs_to_somebody_else(self):
        loans = LoanAgreement.objects.filter(back_on=None)
        assert sorted(one.direction for one in loans) == ["in", "out"]
        assert {one.animal.name for one in loans} == {"Regulus", "Canopus"}

    def test_two_buyers_a_seller_one_kept_pup_and_two_sheets(self):
        assert Contact.objects.count() == 3
        assert all(one.reach.endswith(".example") for one in Contact.objects.all())  # RFC 2606
        kept = Reservation.objects.get()
        assert kept.reserved_on < TODAY < kept.until
        assert Sheet.objects.count() == 2
        assert all(sheet.issued_on < TODAY for sheet in Sheet.objects.all())

    def test_wishes_wait_a_litter_is_offered_and_some_that_left_went_to_somebody(self):
        assert Wish.objects.count() == 4
        offered = SalesPage.objects.get()
        assert offered.links.get().is_good(TODAY)
        assert HandOver.objects.count() == 2
        assert all(one.animal.state == "left" for one in HandOver.objects.all())
        assert OriginPaper.objects.count() == 5
        assert Reservation.objects.get().deposit_paid_on < TODAY

    def test_its_files_lie_in_the_directory_it_was_given(self, demo):
        with override_settings(MEDIA_ROOT=demo):
            kept = [one.picture for one in Photograph.objects.all()]
            kept += [one.thumbnail for one in Photograph.objects.all()]
            kept += [one.file for one in Sheet.objects.all()]
            for file in kept:
                assert Path(file.path).is_relative_to(demo)
                assert Path(file.path).is_file()
            assert sum(file.size for file in kept) < 5_000_000

    def test_nothing_is_dated_after_the_day_it_is_opened(self):
        assert not Sighting.objects.filter(seen_at__date__gt=TODAY).exists()
        assert not Animal.objects.filter(born_on__gt=TODAY).exists()
        assert not Photograph.objects.filter(taken_on__gt=TODAY).exists()
        assert not Measurement.objects.filter(on__gt=TODAY).exists()

    def test_taken_out_and_brought_in_it_comes_back_as_it_was(self, demo, settings, tmp_path):
        settings.MEDIA_ROOT = demo
        archive = check_round_trip(settings, tmp_path / "home")
        counts = counts_of(archive)
        assert counts["animals"] > 60
        assert counts["stays"] > 60
        assert counts["sheets"] == 2
        assert sum(path.startswith("files/photographs/") for path in files_of(archive)) > 100

    def test_a_second_time_changes_nothing_and_says_so(self):
        before = facts()
        said = StringIO()
        call_command("load_demo", "--today", "2030-01-01", stdout=said)
        assert said.getvalue() == "The demonstration is there already; nothing was changed.\n"
        assert facts() == before


# ------------------------------------------------------------------------ into an empty database


@pytest.mark.one_database("the demonstration stands on both once, and this is about dates")
@pytest.mark.usefixtures("species_data", "quick_drawings")
def test_it_is_as_alive_on_the_day_the_clocks_go_back():
    load_demo(CLOCKS_GO_BACK)
    check_that_every_stage_is_there(CLOCKS_GO_BACK)


@pytest.mark.one_database("the demonstration stands on both once, and this is about dates")
@pytest.mark.usefixtures("species_data", "quick_drawings")
def test_at_new_year_it_is_as_alive_and_each_time_of_the_same_facts():
    with transaction.atomic():
        load_demo(NEW_YEAR)
        check_that_every_stage_is_there(NEW_YEAR)
        first = facts()
        transaction.set_rollback(True)
    load_demo(NEW_YEAR)
    assert len(first["animals.Animal"]) > 60
    assert first == facts()


def test_an_animal_always_looks_and_grows_the_same():
    families = demo_bodies.Family(), demo_bodies.Family()
    for family in families:
        family.add_founder("Vega", "motoro")
        family.add_founder("Altair", "motoro")
        family.add_pup("Castor", "Altair", "Vega")
    assert families[0].portrait("Castor", "M") == families[1].portrait("Castor", "M")
    widths = [demo_bodies.width_mm("Castor", "M", age) for age in range(0, 3000, 50)]
    assert widths == sorted(widths)
    assert 90 < widths[0] < widths[-1] < 500


@pytest.mark.usefixtures("owner")
def test_a_program_that_is_not_the_demonstration_is_left_alone():
    with pytest.raises(CommandError, match="This database belongs to Lantern Street Rays"):
        call_command("load_demo")
    assert not Animal.objects.exists()


@pytest.mark.usefixtures("species_data")
def test_a_database_that_holds_animals_is_left_alone():
    mira = cast.female("Mira")
    with pytest.raises(CommandError, match="holds people or animals already"):
        call_command("load_demo")
    assert list(Animal.objects.all()) == [mira]
    assert not Program.objects.filter(is_demo=True).exists()


@pytest.mark.django_db
def test_without_species_it_says_what_to_do_first():
    Species.objects.all().delete()
    with pytest.raises(CommandError, match="load_species"):
        call_command("load_demo")


@pytest.mark.parametrize("day", ["tomorrow", "2027-13-01", "01.02.2027"])
def test_a_day_that_is_none_is_named(day):
    with pytest.raises(CommandError, match=f"--today {day}: not a day"):
        call_command("load_demo", "--today", day)


@pytest.mark.usefixtures("species_data", "quick_drawings")
def test_when_something_in_the_diary_is_impossible_nothing_is_written(monkeypatch):
    content = read_demo_file()
    content["states"].append({"days": 2600, "animal": "Antares", "state": "died"})
    monkeypatch.setattr("breeding.demo.program.read_demo_file", lambda: content)
    with pytest.raises(ValidationError, match="Antares died"):
        load_demo(TODAY)
    assert not Animal.objects.exists()
    assert not Program.objects.exists()


def test_pups_are_read_from_a_few_words():
    assert PupWords.read("first", 2, "M Castor") == PupWords("Castor", "M", "Castor")
    assert PupWords.read("first", 4, "M sold at 75").gone_at == 75
    assert not PupWords.read("first", 1, "F dead").alive
    with pytest.raises(ValueError, match="'F lost in the mail' is no pup"):
        PupWords.read("first", 1, "F lost in the mail")


# --------------------------------------------------------------------------------------- the dump

PASSING = {
    "key",
    "recorded_at",
    "issued_at",
    "password",
    "lineage",
    "figures",
    "date_joined",
    "last_login",
    # A sheet's link is drawn by lot, its code stands in the file, and the signature covers that.
    "token",
    "token_hash",
    "file",
    "file_frame_sha256",
    "signature",
}
ROOMS = ("program", "animals", "housing", "pairings", "litters", "planning", "buyers", "agenda")


def facts() -> dict[str, list[dict]]:
    """Every row of every room, with keys as places in their table and files as what is in them."""
    tables = [model for room in ROOMS for model in apps.get_app_config(room).get_models()]
    places = {
        model: {
            pk: place
            for place, pk in enumerate(model.objects.order_by("pk").values_list("pk", flat=True))
        }
        for model in tables
    }

    def told(row: models.Model, field: models.Field):
        value = getattr(row, field.attname)
        if field.is_relation or field.primary_key:
            return places.get(field.related_model or type(row), {}).get(value)
        if isinstance(field, models.FileField):
            path = Path(settings.MEDIA_ROOT, str(value))
            return hashlib.sha256(path.read_bytes()).hexdigest() if path.is_file() else ""
        return value

    return {
        model._meta.label: [
            {
                field.name: told(row, field)
                for field in model._meta.fields
                if field.name not in PASSING
            }
            for row in model.objects.order_by("pk")
        ]
        for model in tables
    }
