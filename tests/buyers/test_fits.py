"""One pup held against one wish, and what wishes have come to: known answers on few rows."""

import datetime
from fractions import Fraction
from types import SimpleNamespace

import pytest
from django.core.exceptions import ValidationError

from breeding.animals import services as animals
from breeding.animals.models import Animal, Species, Strain
from breeding.buyers import hand_overs, services, waiting
from breeding.buyers.models import Reservation, Wish
from breeding.buyers.openings import openings
from breeding.buyers.waiting import Candidate, Fit, Fits, WishReading, fit_of
from breeding.litters.models import Litter
from tests import cast
from tests.buyers.litters import TODAY, litter_of, pup

MOTORO = Species(pk=1, accepted_name="Potamotrygon motoro")
LEOPOLDI = Species(pk=2, accepted_name="Potamotrygon leopoldi")
PALE = Strain(pk=5, name="Paper Lantern")
HALF = Fraction(1, 2)
PURE, HYBRID, IN_PART = {1: Fraction(1)}, {1: HALF, 2: HALF}, {1: HALF, None: HALF}
PROGRAM = SimpleNamespace(length_unit="cm")


def reading(width=150, lacks=(), is_grown=False):
    return SimpleNamespace(disc_width_mm=width, lacks=lacks, is_grown=is_grown)


def held(wish=None, shares=PURE, sex="F", strain=None, reservation=None, **more):
    """A pup of this kind held against a wish with these parts."""
    animal = Animal(pk=7, code="L1", sex=sex, strain=strain)
    pup = Candidate(reading(**more), animal, shares, reservation)
    return fit_of(Wish(**(wish or {})), pup, PROGRAM)


def against(**more):
    return held(**more).against


# ------------------------------------------------------------------------------ one and one


@pytest.mark.parametrize(
    ("against", "not_yet", "is_fit", "may_fit_later"),
    [
        ((), (), True, False),
        ((), ("small",), False, True),
        (("male",), (), False, False),
        (("male",), ("small",), False, False),
    ],
)
def test_what_is_only_missing_for_now_may_fit_later(against, not_yet, is_fit, may_fit_later):
    fit = Fit(Wish(), reading(), Animal(), against, not_yet)
    assert fit.is_fit is is_fit
    assert fit.may_fit_later is may_fit_later


def test_a_wish_that_leaves_all_open_is_fitted_by_any_pup():
    for shares in (PURE, HYBRID, IN_PART, {None: Fraction(1)}, {}):
        assert held(shares=shares).is_fit


@pytest.mark.parametrize(
    ("shares", "said"),
    [
        (PURE, ()),
        (IN_PART, ()),  # half of it is
        ({2: Fraction(1)}, ("not P. motoro",)),
        ({2: Fraction(1), 1: Fraction(0)},
         ("not P. motoro",)),
        ({2: HALF, None: HALF},
         ("no P. motoro on record, and its species is not known in full",)),
        ({}, ("no P. motoro on record, and its species is not known in full",)),
    ],
)  # fmt: skip
def test_a_wished_species_is_to_be_on_record_among_the_ancestors(shares, said):
    assert against(wish={"species": MOTORO}, shares=shares) == said


@pytest.mark.parametrize(
    ("shares", "wished_pure", "wished_hybrid"),
    [
        (PURE, (), ("pure, a hybrid wanted",)),
        ({1: Fraction(1), None: Fraction(0)}, (), ("pure, a hybrid wanted",)),
        (HYBRID, ("a hybrid, pure wanted",), ()),
        ({1: HALF, 2: Fraction(1, 4), None: Fraction(1, 4)}, ("a hybrid, pure wanted",), ()),
        (IN_PART, ("whether it is pure is not known",), ("whether it is a hybrid is not known",)),
        ({}, ("whether it is pure is not known",), ("whether it is a hybrid is not known",)),
    ],
)
def test_pure_and_hybrid_are_told_only_of_what_is_known(shares, wished_pure, wished_hybrid):
    assert against(wish={"kind": "pure"}, shares=shares) == wished_pure
    assert against(wish={"kind": "hybrid"}, shares=shares) == wished_hybrid


@pytest.mark.parametrize(
    ("sex", "said"),
    [("F", ()), ("M", ("male, female wanted",)), ("U", ("its sex is not known, female wanted",))],
)
def test_a_wished_sex_is_to_be_known(sex, said):
    assert against(wish={"sex": "F"}, sex=sex) == said
    assert against(sex=sex) == ()


def test_a_wished_strain_is_that_one_and_no_other():
    assert against(wish={"strain": PALE}, strain=PALE) == ()
    assert against(wish={"strain": PALE}) == ("not of the strain Paper Lantern",)
    other = Strain(pk=6, name="Ember")
    assert against(wish={"strain": PALE}, strain=other) == ("not of the strain Paper Lantern",)
    assert against(strain=PALE) == ()


@pytest.mark.parametrize(
    ("least", "width", "said"),
    [
        (155, 154, ("15.4 cm, wanted from 15.5 cm on",)),
        (155, 155, ()),
        (155, None, ()),  # that it is not measured is said elsewhere
        (None, 100, ()),
        (None, None, ()),
    ],
)
def test_a_wished_width_is_waited_for(least, width, said):
    assert held({"least_disc_width_mm": least}, width=width).not_yet == said


def test_what_it_lacks_before_it_may_leave_is_only_for_now():
    found = held({"least_disc_width_mm": 155}, lacks=("1 more day",))
    assert found.not_yet == ("1 more day", "15.0 cm, wanted from 15.5 cm on")
    assert found.may_fit_later


def test_one_that_is_kept_or_grown_fits_nobody():
    kept = Reservation(contact=services.Contact(name="Kim Lund"))
    assert against(reservation=kept) == ("reserved for Kim Lund",)
    assert against(is_grown=True) == ("older than a year, no pup that waits to leave",)
    assert against(wish={"sex": "M", "kind": "hybrid"}, reservation=kept) == (
        "pure, a hybrid wanted",
        "female, male wanted",
        "reserved for Kim Lund",
    )


@pytest.mark.parametrize(
    ("fits", "fitting", "has_hope"),
    [("", 0, False), ("n", 0, False), ("l", 0, True), ("fn", 1, True), ("nl", 0, True),
     ("ff", 2, True)],
)  # fmt: skip
def test_a_wish_has_hope_while_one_pup_fits_or_may_fit_later(fits, fitting, has_hope):
    """f fits, l later, n never."""
    said = {"f": ((), ()), "l": ((), ("small",)), "n": (("male",), ())}
    found = WishReading(
        Wish(), Fits(Fit(Wish(), reading(), Animal(), *said[one]) for one in fits), None
    )
    assert len(found.fitting) == fitting
    assert found.has_hope is has_hope


# ------------------------------------------------------------------------------------ on record


@pytest.fixture(scope="module")
def litter(kept_for_the_file):
    """Alya, female, 16 cm; Botein, male, 15 cm; Chara, female, 12 cm: 100 days old."""
    return litter_of(cast.female("Vega", pure="leopoldi"), cast.male("Deneb", pure="leopoldi"))


@pytest.fixture(scope="module")
def program(kept_for_the_file):
    return cast.the_program()


@pytest.fixture(scope="module")
def kim(kept_for_the_file):
    return services.add_contact(by=None, name="Kim Lund")


def wish(contact, on="2026-10-01", **parts):
    return waiting.add_wish(contact, by=None, wished_on=cast.day(on), **parts)


def keep(animal, contact, on="2026-11-01"):
    return services.reserve_animal(animal, contact, by=None, on=cast.day(on))


def go(animal, contact, on="2026-11-01", **more):
    return hand_overs.hand_over(
        animal, contact, by=None, program=cast.the_program(), on=cast.day(on), today=TODAY,
        transport="own_car", has_read_cautions=True, **more,
    )  # fmt: skip


def met(*wishes):
    """Of each wish the name, the day and whether it has left."""
    found = waiting.what_fits(wishes, cast.the_program(), asof=TODAY)
    return [
        row.met and (row.met.animal.call_name, f"{row.met.on:%m-%d}", row.met.has_left)
        for row in found
    ]


@pytest.mark.django_db
def test_a_wish_is_changed_in_its_parts_only_and_stays_possible(kim):
    one = wish(kim, sex="F")
    assert waiting.change_wish(one, sex="M", note="for the long tank") == one
    one.refresh_from_db()
    assert (one.sex, one.note, one.wished_on) == ("M", "for the long tank", cast.day("2026-10-01"))
    with pytest.raises(ValueError, match="A wish has no 'contact': only wished_on, species"):
        waiting.change_wish(one, contact=kim)
    with pytest.raises(ValidationError, match="sex"):
        waiting.change_wish(one, sex="X")
    with pytest.raises(ValidationError, match="sex"):
        wish(kim, sex="X")


@pytest.mark.django_db
def test_pups_are_young_until_the_day_they_are_365_days_old(litter):
    born = litter.born_on
    counts = [
        len(waiting.young(asof=born + datetime.timedelta(days=days))) for days in (-1, 0, 365, 366)
    ]
    assert counts == [0, 3, 3, 0]


@pytest.mark.django_db
def test_of_a_litter_that_was_withdrawn_no_pup_is_young_or_held_against_a_wish(
    litter, kim, program
):
    wish(kim)
    alya = pup(litter, "Alya")
    assert len(waiting.who_fits(alya, program, asof=TODAY)) == 1
    Litter.objects.filter(pk=litter.pk).update(
        withdrawn_at=datetime.datetime(2026, 11, 1, tzinfo=datetime.UTC), withdrawn_reason="Mira's"
    )
    assert waiting.young(asof=TODAY) == []
    assert waiting.who_fits(alya, program, asof=TODAY) == []


@pytest.mark.django_db
def test_only_the_pup_that_is_asked_for_is_held_against_the_wishes(litter, kim, program):
    wish(kim)
    found = waiting.who_fits(pup(litter, "Botein"), program, asof=TODAY)
    assert [fit.animal.call_name for fit in found] == ["Botein"]


@pytest.mark.django_db
def test_candidates_are_those_that_live_and_are_here(litter, kim):
    animals.change_state(pup(litter, "Alya"), state="left", on=TODAY)
    litter.pups.filter(animal__call_name="Chara").update(animal=None)
    kept = keep(pup(litter, "Botein"), kim)
    (found,) = waiting.candidates(waiting.young(asof=TODAY))
    assert (found.animal.call_name, found.reservation) == ("Botein", kept)
    assert list(found.shares.values()) == [1]


@pytest.mark.django_db
def test_pups_that_fit_stand_first_then_those_that_may_later_each_by_code(litter, kim, program):
    found = waiting.what_fits([wish(kim)], program, asof=TODAY)[0]
    assert [fit.animal.call_name for fit in found.fits] == ["Alya", "Botein", "Chara"]
    keep(pup(litter, "Alya"), kim)
    found = waiting.what_fits([wish(kim)], program, asof=TODAY)[0]
    assert [fit.animal.call_name for fit in found.fits] == ["Botein", "Chara", "Alya"]
    assert [fit.animal.call_name for fit in found.fitting] == ["Botein"]


@pytest.mark.django_db
def test_pups_read_already_are_not_read_again(litter, kim, program):
    pups = [one for one in waiting.young(asof=TODAY) if one.pup.animal.call_name != "Botein"]
    one = wish(kim)
    (found,) = waiting.what_fits([one], program, asof=TODAY, among=pups)
    assert [fit.animal.call_name for fit in found.fits] == ["Alya", "Chara"]
    (found,) = openings(program, asof=TODAY, among=pups)
    assert [fit.animal.call_name for fit in found.fits] == ["Alya"]
    assert waiting.what_fits([one], program, asof=TODAY, among=[])[0].fits == ()
    assert openings(program, asof=TODAY, among=[]) == []


@pytest.mark.django_db
def test_nothing_is_asked_where_nobody_waits_or_no_pup_may_leave(
    litter, kim, program, django_assert_num_queries
):
    wish(kim)
    too_small = [one for one in waiting.young(asof=TODAY) if one.lacks]
    with django_assert_num_queries(0):
        assert waiting.what_fits([], program, asof=TODAY) == []
        assert openings(program, asof=TODAY, among=too_small) == []


@pytest.mark.django_db
def test_an_opening_is_a_wish_that_a_pup_fits_and_that_is_not_met(litter, kim, program):
    ada = services.add_contact(by=None, name="Ada Berg")
    first, second = wish(kim, "2026-10-02"), wish(ada, "2026-10-01")
    wish(kim, kind="hybrid")
    found = openings(program, asof=TODAY)
    assert [one.wish for one in found] == [second, first]
    assert [fit.animal.call_name for fit in found[0].fits] == ["Alya", "Botein"]
    keep(pup(litter, "Alya"), ada)
    assert [one.wish for one in openings(program, asof=TODAY)] == [first]


# ------------------------------------------------------------------------- what it has come to


@pytest.mark.django_db
def test_a_wish_is_met_by_an_animal_kept_for_its_contact_since_the_wish(litter, kim):
    one = wish(kim, "2026-11-01")
    assert met(one) == [None]
    keep(pup(litter, "Alya"), kim, "2026-11-01")  # on the same day
    assert met(one) == [("Alya", "11-01", False)]
    assert met(wish(kim, "2026-11-02")) == [None]


@pytest.mark.django_db
def test_what_was_kept_or_went_does_not_meet_a_wish_it_does_not_fit(litter, kim):
    female, male = wish(kim, sex="F"), wish(kim, sex="M")
    keep(pup(litter, "Botein"), kim)
    assert met(female, male) == [None, ("Botein", "11-01", False)]


@pytest.mark.django_db
def test_two_wishes_alike_need_two_animals_and_the_oldest_comes_first(litter, kim):
    second, first = wish(kim, "2026-10-02"), wish(kim, "2026-10-01")
    keep(pup(litter, "Alya"), kim, "2026-11-02")
    assert met(second, first) == [None, ("Alya", "11-02", False)]
    keep(pup(litter, "Botein"), kim, "2026-11-01")
    assert met(second, first) == [("Alya", "11-02", False), ("Botein", "11-01", False)]


@pytest.mark.django_db
def test_an_animal_that_went_and_stayed_meets_a_wish(litter, kim):
    one = wish(kim)
    gone = go(pup(litter, "Alya"), kim)
    assert met(one) == [("Alya", "11-01", True)]
    hand_overs.take_back(gone, on=TODAY, today=TODAY, because="no room", by=None)
    assert met(one) == [None]


@pytest.mark.django_db
def test_a_hand_over_that_was_withdrawn_meets_no_wish(litter, kim):
    one = wish(kim)
    gone = go(pup(litter, "Alya"), kim)
    now = datetime.datetime(2026, 11, 20, tzinfo=datetime.UTC)
    hand_overs.withdraw_hand_over(gone, by=cast.owner(), now=now, reason="another ray")
    assert met(one) == [None]


@pytest.mark.django_db
def test_what_others_have_does_not_count(litter, kim):
    ada = services.add_contact(by=None, name="Ada Berg")
    keep(pup(litter, "Alya"), ada)
    mine, hers = wish(kim), wish(ada)
    assert met(mine, hers) == [None, ("Alya", "11-01", False)]
