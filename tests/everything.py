"""A small program in which every page has something to show and every form is about somebody."""

import datetime
from io import BytesIO

from django.apps import apps
from django.core.management.color import no_style
from django.db import connection
from django.utils import timezone
from PIL import Image

from breeding.agenda.services import answer_line
from breeding.animals.pictures.portraits import read_picture
from breeding.animals.services import add_measurement, add_photograph, change_state
from breeding.animals.species.strains import add_strain
from breeding.buyers.hand_overs import hand_over
from breeding.buyers.services import add_contact, reserve_animal
from breeding.buyers.waiting import add_wish
from breeding.exchange.ancestry import read_word
from breeding.exchange.keys.heard import hear, know_key
from breeding.exchange.said_one import say_one
from breeding.exchange.taking import take
from breeding.housing.looks import record_look
from breeding.housing.models import Tank
from breeding.housing.services import close_divider, move_animal
from breeding.housing.water.services import record_water_test
from breeding.housing.water.systems import add_system
from breeding.identity.models import PatternReading
from breeding.identity.services import keep_untold, say_two
from breeding.litters.services import PupFacts, record_birth
from breeding.offers.sales import change_sales_page
from breeding.origin.papers import add_origin_paper
from breeding.pairings.care.services import rest_after, tick_nursery
from breeding.pairings.models import SignKind
from breeding.pairings.services import log_sighting, open_pairing, record_outcome, record_scan
from breeding.planning.services import plan_pairing
from breeding.program.models import Person
from breeding.program.queries import the_program
from breeding.records.services import keep_draft
from breeding.sheets.sealing.seal import fingerprint
from breeding.sheets.services import issue_sheet
from breeding.spots import FINDER
from tests import cast
from tests.everyday import everyday
from tests.exchange.given import PUBLIC, given_file, given_succession


def rooms() -> list:
    """The installed rooms of the house."""
    return [room for room in apps.get_app_configs() if room.name.startswith("breeding.")]


def count_from_one() -> None:
    """Rows of empty tables get the keys 1, 2, 3 as on SQLite, whatever was there before."""
    empty = [
        {"table": model._meta.db_table, "column": model._meta.pk.column}
        for room in rooms()
        for model in room.get_models()
        if model._meta.pk.get_internal_type().endswith("AutoField") and not model.objects.exists()
    ]
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_by_name_sql(no_style(), empty):
            cursor.execute(statement)


def picture() -> BytesIO:
    out = BytesIO()
    Image.new("RGB", (90, 70), "grey").save(out, "JPEG")
    out.seek(0)
    return out


def everything(pure: str = "motoro", other: str = "leopoldi") -> Person:
    """The owner of a program with one of everything; written once a file, never changed.

    `pure` and `other` are the keys of the species of its animals.
    """
    count_from_one()
    owner, keeper = cast.owner(), cast.keeper()
    cast.viewer()
    today, now = timezone.localdate(), timezone.now()

    def ago(days: int) -> datetime.date:
        return today - datetime.timedelta(days=days)

    mira = cast.female("Mira", pure=pure)
    deneb = cast.male("Deneb", pure=pure)
    tank = Tank.objects.create(name="Boathouse pool", can_divide=True)
    bay = Tank.objects.create(name="Bay", can_divide=True)
    vega = cast.female("Vega", pure=other)
    move_animal(mira, tank, on=ago(300), by=keeper)
    move_animal(vega, bay, on=ago(30), by=keeper)
    close_divider(bay, left=[vega], right=[], on=ago(20), by=keeper)
    for since, until in ((ago(200), ago(170)), (today, None)):
        open_pairing(
            female=mira,
            male=deneb,
            introduced_on=since,
            separated_on=until,
            program=the_program(),
            by=keeper,
            today=today,
        )
    record_outcome(female=vega, on=ago(9), kind="resorbed", today=today, by=keeper)
    litter = record_birth(
        dam=mira,
        born_on=ago(80),
        pups=[PupFacts(), PupFacts(), PupFacts(), PupFacts(alive=False)],
        today=today,
        by=keeper,
    )
    first, second, _ = (pup.animal for pup in litter.pups.exclude(animal=None))
    for kind in SignKind.objects.all()[:3]:
        log_sighting(female=mira, kind=kind, seen_at=now, now=now, by=keeper)
    record_scan(female=mira, on=today, positive=True, today=today, by=keeper)
    rest_after(litter.outcome, until=today, by=keeper)
    tick_nursery(mira, "food", on=today, by=keeper, now=now)
    answer_line("overdue:1:x", by=keeper, today=today)
    add_measurement(first, by=keeper, on=today, disc_width_mm=150)
    add_photograph(mira, picture(), by=keeper, taken_on=today)
    _spotted(mira, today, keeper)
    content = given_file()
    take(read_word(content), content, "", by=keeper)
    _of_keys(today, now, keeper)
    record_water_test(tank, tested_at=now, now=now, by=keeper, ph=7)
    record_look(tank, on=today, today=today, by=keeper)
    plan_pairing(female=mira, male=deneb, not_before=today, by=keeper, today=today)
    _for_buyers(first, second, litter, today, keeper)
    add_system(by=keeper, name="Boathouse sump")
    add_strain(by=keeper, name="Paper Lantern")
    lent = cast.male("Rigel", pure=other)
    for state, on in (("on_loan", ago(40)), ("here", ago(20))):
        change_state(lent, state=state, on=on)
    everyday(first, lent, tank, keeper)
    keep_draft(by=keeper, file_name="table.csv", text="code,sire,dam,born,width\nR1,,,2019,20\n")
    return owner


def _of_keys(today, now, keeper) -> None:
    hear([given_succession()], by=keeper)
    told = fingerprint(PUBLIC)
    know_key(told=told, called="Kettle House", how="telephone", on=today, today=today, by=keeper)
    gone = {"state": "left", "state_on": cast.ago(900)}
    one, other = (cast.ray(name, **gone) for name in ("Ara", "Old Ara"))
    say_one(one, other, reason="one scar", by=keeper, now=now)


def _spotted(mira, today, keeper) -> None:
    untold = keep_untold(read_picture(picture()), taken_on=today, today=today, by=keeper)
    for subject in ({"photograph": mira.photographs.get()}, {"untold": untold}):
        PatternReading.objects.create(
            **subject,
            taps=[[40, 0], [0, 40], [80, 40], [40, 80]],
            spots=[[0.1 * n, 0.05 * n, 0.05] for n in range(8)],
            finder=FINDER,
            is_light=True,
            contrast=0.4,
            grain=0.01,
        )
    say_two(cast.female("Sura"), cast.female("Sulafat"), by=keeper)


def _for_buyers(kept, gone, litter, today, keeper) -> None:
    ida = add_contact(by=keeper, name="Ida")
    add_wish(ida, by=keeper, wished_on=today)
    add_origin_paper(kept, by=keeper, today=today, permit_number="A 7")
    issue_sheet(kept, by=keeper, on=today, contact=ida)
    change_sales_page(
        litter, by=keeper, pups=litter.pups.exclude(animal=None), words="Raised on worms."
    )
    hand_over(
        gone,
        ida,
        by=keeper,
        program=the_program(),
        on=today,
        today=today,
        transport="courier",
        has_read_cautions=True,
    )
    reserve_animal(kept, ida, by=keeper, on=today, until=today + datetime.timedelta(days=9))
