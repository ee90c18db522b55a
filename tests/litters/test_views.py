"""Pages of the litters' room: a birth in a few taps, and the litter as it stands."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from breeding.animals.models import Animal
from breeding.animals.services import change_animal
from breeding.litters.models import Litter, Pup
from breeding.litters.services import PupFacts, record_birth
from breeding.pairings.services import open_pairing
from breeding.program import clock
from breeding.program.queries import the_program
from breeding.program.services import withdraw
from tests import cast
from tests.cast import ago, words

pytestmark = pytest.mark.django_db

INDEX, NEW = reverse("litters:index"), reverse("litters:new")


def birth(dam, *pups, days=10, **more):
    return record_birth(
        dam=dam,
        born_on=ago(days),
        pups=pups or (PupFacts(),),
        today=clock.today(),
        by=None,
        **more,
    )


def typed(mother, *pups, **more):
    """A birth as the page sends it; each pup is (fate, sex, width, markings)."""
    sent = {"dam": mother.pk, "born_on": ago(0).isoformat()}
    sent |= {"pups-TOTAL_FORMS": "12", "pups-INITIAL_FORMS": "0"}
    for row in range(12):
        facts = pups[row] if row < len(pups) else ("", "U", "", "")
        for name, value in zip(("fate", "sex", "disc_width_mm", "markings"), facts, strict=True):
            sent[f"pups-{row}-{name}"] = value
    return sent | more


@pytest.fixture
def mira(owner):
    return cast.female("Mira", pure="motoro")


def test_index_before_the_first_birth_says_so(as_viewer, as_keeper):
    assert "No birth is recorded yet." in words(as_viewer.get(INDEX))
    assert "Record a birth" in words(as_keeper.get(INDEX))
    assert "Record a birth" not in words(as_viewer.get(INDEX))


def test_index_lists_litters_with_their_pups(as_viewer, mira):
    birth(mira, PupFacts(), PupFacts(alive=False))
    withdrawn = birth(cast.female("Vega"))
    withdraw(withdrawn, by=None, now=clock.now(), reason="It was Mira.")
    page = words(as_viewer.get(INDEX))
    assert "2 pups" in page
    assert "growing" in page
    assert "one dead" in page
    assert "Vega" not in page


def test_index_asks_the_same_questions_with_ten_more_litters(as_keeper, mira):
    def questions():
        with CaptureQueriesContext(connection) as asked:
            as_keeper.get(INDEX)
        return len(asked)

    birth(mira, PupFacts(disc_width_mm=100), PupFacts())
    questions()  # the first visit after a change reads the lineage once
    before = questions()
    for number in range(10):
        birth(cast.female(f"Star {number}", pure="motoro"), PupFacts(disc_width_mm=99), PupFacts())
    questions()
    assert questions() <= before < 22


def test_detail_shows_who_when_and_each_pup(as_viewer, mira):
    deneb = cast.male("Deneb")
    open_pairing(
        female=mira,
        male=deneb,
        introduced_on=ago(130),
        separated_on=ago(130),
        program=the_program(),
        by=None,
        today=clock.today(),
    )
    litter = birth(mira, PupFacts(disc_width_mm=98, markings="Broken ring"), PupFacts(alive=False))
    page = words(as_viewer.get(litter.get_absolute_url()))
    assert "birth, 1 of 2 pups dead" in page
    assert "<strong>120 days</strong> from mating on" in page
    assert "9.8 cm" in page
    assert "Broken ring" in page
    assert "2, dead" in page
    assert "not yet: " in page
    assert "One more pup was found" not in page


def test_a_pup_that_turns_out_to_be_of_the_other_sex_is_shown_as_it_is_known_now(as_viewer, mira):
    litter = birth(mira, PupFacts(sex="M"), PupFacts(sex="U"), PupFacts(sex="F", alive=False))
    first, second = (pup.animal for pup in litter.pups.order_by("number")[:2])
    assert "at birth: male" not in words(as_viewer.get(litter.get_absolute_url()))
    for animal in (first, second):
        change_animal(animal, sex="F")
    page = words(as_viewer.get(litter.get_absolute_url()))
    assert page.count("at birth: male") == 1
    assert page.count("<td> female") == 3


def test_detail_without_company_measures_no_gestation(as_viewer, mira):
    page = words(as_viewer.get(birth(mira).get_absolute_url()))
    assert "not measured: no company and no sign is on record before the birth" in page
    assert "<dt>Sire</dt> <dd> unknown </dd>" in page


def test_detail_names_possible_sires_with_their_shares(as_viewer, as_keeper, mira):
    deneb, altair = cast.male("Deneb"), cast.male("Altair")
    as_keeper.post(
        NEW,
        typed(
            mira,
            ("alive", "U", "", ""),
            possible_sire_1=deneb.pk,
            possible_share_1="3/4",
            possible_sire_2=altair.pk,
            possible_share_2="25 %",
        ),
    )
    page = words(as_viewer.get(Litter.objects.get().get_absolute_url()))
    assert "one of: " in page
    assert "Deneb</a> (3/4)" in page
    assert "Altair</a> (1/4)" in page


def test_new_takes_pups_one_by_one_and_skips_empty_rows(as_keeper, mira):
    answer = as_keeper.post(
        NEW,
        typed(
            mira,
            ("alive", "F", "9.8", "Broken ring"),
            ("", "U", "", ""),
            ("dead", "M", "", ""),
        ),
        follow=True,
    )
    assert "of Mira is recorded. Keep males away from the pups." in words(answer)
    found = [(pup.number, pup.alive, pup.sex, pup.disc_width_mm) for pup in Pup.objects.all()]
    assert found == [(1, True, "F", 98), (2, False, "M", None)]
    assert Animal.objects.get(dam=mira).recorded_by.username == "sam"


def test_new_takes_counts_alone(as_keeper, mira):
    as_keeper.post(NEW, typed(mira, alive_count="7", dead_count="2"))
    assert Pup.objects.filter(alive=True).count() == 7
    assert Pup.objects.filter(alive=False).count() == 2
    assert Animal.objects.filter(dam=mira).count() == 7


def test_new_takes_widths_in_the_programs_unit(as_keeper, mira):
    cast.the_program(length_unit="in")
    as_keeper.post(NEW, typed(mira, ("alive", "U", "4", "")))
    assert Pup.objects.get().disc_width_mm == 102  # 4 inches of 25.4 mm


@pytest.mark.parametrize(
    ("pups", "more", "said"),
    [
        ([], {}, "A litter has at least one pup, alive or dead."),
        ([("", "F", "", "")], {}, "Say whether this pup is alive or dead."),
        ([("", "U", "9.8", "")], {}, "Say whether this pup is alive or dead."),
        ([("alive", "U", "980", "")], {}, "980 cm is not possible here; allowed is 1 to 50 cm."),
        ([("born", "U", "", "")], {}, "is not possible for"),
        ([("alive", "U", "", "")], {"dam": ""}, "“Dam” is empty"),
        ([("alive", "U", "", "")], {"born_on": "2999-01-01"}, "is still to come"),
        ([("alive", "U", "", "")], {"born_on": "0001-01-01"}, "is too long ago"),
        ([("alive", "U", "", "")], {"born_on": "spring"}, "“spring” is not possible for"),
        ([("alive", "U", "", "")], {"alive_count": "61"}, "“61” is not possible for"),
        ([("alive", "U", "", "")], {"alive_count": "60"}, "61 pups are more than this can take"),
        ([("alive", "U", "", "")], {"possible_share_1": "1/2"}, "Whose share is 1/2?"),
    ],
)
def test_new_names_what_is_wrong_and_keeps_what_was_typed(as_keeper, mira, pups, more, said):
    rows = [*pups, ("alive", "U", "", "Broken ring")] if "Say whether" in said else pups
    page = words(as_keeper.post(NEW, typed(mira, *rows, note="By lamp", **more)))
    assert said in page
    assert "By lamp" in page
    if len(rows) > len(pups):
        assert 'value="Broken ring"' in page
    assert not Litter.objects.exists()


def test_new_asks_whose_share_and_for_a_share(as_keeper, mira):
    deneb = cast.male("Deneb")
    sent = typed(mira, ("alive", "U", "", ""), possible_sire_1=deneb.pk)
    assert "Give Deneb a share, like 1/2." in words(as_keeper.post(NEW, sent))


def test_new_refuses_a_second_birth_by_name(as_keeper, mira):
    birth(mira)
    page = words(as_keeper.post(NEW, typed(mira, ("alive", "U", "", ""))))
    assert "Mira has litter" in page
    assert "a second birth 10 days apart is not possible" in page


def test_new_knows_the_dam_and_the_sire_from_her_company(as_keeper, mira):
    deneb = cast.male("Deneb")
    open_pairing(
        female=mira,
        male=deneb,
        introduced_on=ago(115),
        separated_on=ago(110),
        program=the_program(),
        by=None,
        today=clock.today(),
    )
    page = words(as_keeper.get(f"{NEW}?dam={mira.pk}"))
    assert f'<option value="{mira.pk}" selected>' in page
    assert f'<option value="{deneb.pk}" selected>' in page


def test_new_reckons_the_sires_again_for_the_day_that_was_typed(as_keeper, mira):
    """Entered nine months late: as of today nothing of that company is left to go by."""
    deneb = cast.male("Deneb")
    open_pairing(
        female=mira,
        male=deneb,
        introduced_on=ago(385),
        separated_on=ago(380),
        program=the_program(),
        by=None,
        today=clock.today(),
    )
    asked = f"{mira.pk} {ago(0)}"
    late = typed(mira, ("alive", "F", "", "")) | {"born_on": ago(272), "sires_for": asked}
    page = words(as_keeper.post(NEW, late))
    assert "now follow from a birth on" in page
    assert f'<option value="{deneb.pk}" selected>' in page
    assert f'name="sires_for" value="{mira.pk} {ago(272)}"' in page
    assert not Litter.objects.exists()
    as_keeper.post(NEW, late | {"sires_for": f"{mira.pk} {ago(272)}", "sire": deneb.pk})
    assert Litter.objects.get().pups.get().animal.sire == deneb


def test_a_dam_chosen_on_an_empty_page_brings_her_sires_before_anything_is_written(as_keeper, mira):
    """Else the pups of the only male who was with her would have an unknown sire."""
    deneb = cast.male("Deneb")
    open_pairing(
        female=mira,
        male=deneb,
        introduced_on=ago(113),
        separated_on=ago(108),
        program=the_program(),
        by=None,
        today=clock.today(),
    )
    empty = typed(mira, ("alive", "F", "", "")) | {"sires_for": ""}
    page = words(as_keeper.post(NEW, empty))
    assert "now follow from a birth on" in page
    assert f'<option value="{deneb.pk}" selected>' in page
    assert not Litter.objects.exists()
    as_keeper.post(NEW, empty | {"sires_for": f"{mira.pk} {ago(0)}"})  # unknown all the same
    assert Litter.objects.get().pups.get().animal.sire is None


def test_new_leaves_alone_the_sire_a_keeper_has_named(as_keeper, mira):
    deneb, altair = cast.male("Deneb"), cast.male("Altair")
    open_pairing(
        female=mira,
        male=deneb,
        introduced_on=ago(385),
        separated_on=ago(380),
        program=the_program(),
        by=None,
        today=clock.today(),
    )
    late = typed(mira, ("alive", "F", "", ""), sire=altair.pk)
    as_keeper.post(NEW, late | {"born_on": ago(272), "sires_for": f"{mira.pk} {ago(0)}"})
    assert Litter.objects.get().pups.get().animal.sire == altair


@pytest.mark.parametrize(
    "asked", ["", "x", "9 x", "² 2026-01-01", "99999999999999999999 2026-01-01"]
)
def test_new_takes_anything_for_what_the_sires_were_reckoned_for(as_keeper, mira, asked):
    as_keeper.post(NEW, typed(mira, ("alive", "F", "", "")) | {"sires_for": asked})
    assert Litter.objects.count() == 1


@pytest.mark.parametrize("asked", ["", "x", "999", "%00", "9" * 30, "²", "-1"])
def test_new_takes_any_dam_in_the_address(as_keeper, mira, asked):
    assert as_keeper.get(f"{NEW}?dam={asked}").status_code == 200


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ("", "did not come whole"),
        ("x", "did not come whole"),
        ("-1", "A litter has at least one pup, alive or dead."),
        ("99999999", "At most 60 pups are allowed."),
        ("61", "At most 60 pups are allowed."),
    ],
)
def test_new_takes_no_other_number_of_rows_and_says_so(as_keeper, mira, rows, said):
    sent = typed(mira, ("alive", "U", "", "")) | {"pups-TOTAL_FORMS": rows}
    assert said in words(as_keeper.post(NEW, sent))
    assert not Litter.objects.exists()


def test_new_and_add_pup_are_not_for_viewers(as_viewer, mira):
    litter = birth(mira)
    for address in (NEW, reverse("litters:add_pup", args=[litter.pk])):
        assert as_viewer.get(address).status_code == 403
        assert as_viewer.post(address, typed(mira, ("alive", "U", "", ""))).status_code == 403
    assert Pup.objects.count() == 1


def test_add_pup_adds_one_found_later(as_keeper, mira):
    litter = birth(mira)
    address = reverse("litters:add_pup", args=[litter.pk])
    assert "Say whether this pup is alive or dead." in words(as_keeper.post(address, {"fate": ""}))
    answer = as_keeper.post(address, {"fate": "alive", "sex": "M", "disc_width_mm": "9.1"})
    assert answer.status_code == 302
    assert [pup.number for pup in litter.pups.all()] == [1, 2]
    assert Animal.objects.filter(dam=mira, sex="M").count() == 1
