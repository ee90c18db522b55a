"""Acts at the tank: who may be put together, what must be said, and what is refused by name."""

import datetime
from io import BytesIO

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone
from PIL import Image

from breeding.animals.models import Animal
from breeding.animals.services import change_state
from breeding.pairings.models import Pairing, Sighting, SignKind
from breeding.pairings.services import (
    record_outcome,
    record_scan,
    separate,
)
from breeding.program import services as program_services
from tests import cast

pytestmark = pytest.mark.django_db

TODAY = cast.day("2026-03-20")


def pair(female, male, since="2026-03-01", until=None, **more):
    return cast.pair(female, male, since, until, today=TODAY, **more)


def relatives(how):
    """Two that are related: the values of F are in Lange, Applied Probability, table 5.1."""
    vega, altair = cast.female("Vega"), cast.male("Altair")
    if how == "full siblings":
        return cast.female("Mira", sire=altair, dam=vega), cast.male("Deneb", sire=altair, dam=vega)
    if how == "half siblings":
        return cast.female("Mira", dam=vega), cast.male("Deneb", dam=vega)
    sister = cast.female("Izar", sire=altair, dam=vega)
    brother = cast.male("Rigel", sire=altair, dam=vega)
    return cast.female("Mira", dam=sister), cast.male("Deneb", sire=brother)


@pytest.mark.parametrize(
    ("how", "inbreeding", "said"),
    [
        ("full siblings", 0.25, "25 %, as close as full siblings"),
        ("half siblings", 0.125, "12.5 %, as close as half siblings"),
    ],
)
def test_close_kin_need_a_reason_which_is_kept(owner, how, inbreeding, said):
    mira, deneb = relatives(how)
    with pytest.raises(ValidationError) as refused:
        pair(mira, deneb, reason="   ")
    assert said in refused.value.message_dict["reason"][0]
    assert not Pairing.objects.exists()
    kept = pair(mira, deneb, reason=" To fix the pattern. ")
    assert (kept.reason, kept.inbreeding_expected) == ("To fix the pattern.", inbreeding)


def test_cousins_need_no_reason(owner):
    mira, deneb = relatives("cousins")
    assert pair(mira, deneb).inbreeding_expected == 0.0625


def test_strangers_by_blood_are_clear(owner):
    assert pair(cast.female("Mira"), cast.male("Deneb")).inbreeding_expected == 0


def test_the_program_sets_from_where_a_reason_is_asked_for(owner):
    cast.the_program(inbreeding_caution=0.01, inbreeding_needs_reason=0.05)
    mira, deneb = relatives("cousins")
    with pytest.raises(ValidationError, match="From 5 % on this program asks for a reason"):
        pair(mira, deneb)


@pytest.mark.parametrize(
    ("since", "until"),
    [
        ("2026-01-10", "2026-02-10"),
        ("2026-01-15", None),
        ("2026-01-01", "2026-01-16"),
        ("2026-01-16", "2026-01-17"),
    ],
)
def test_the_same_pair_is_not_together_twice_at_once(owner, since, until):
    mira, deneb = cast.female("Mira"), cast.male("Deneb")
    pair(mira, deneb, "2026-01-15", "2026-02-01")
    with pytest.raises(ValidationError) as refused:
        pair(mira, deneb, since, until)
    assert refused.value.message_dict["introduced_on"] == [
        "Mira and Deneb are recorded as together from 15 January 2026 to 1 February 2026 already."
    ]


def test_the_same_pair_may_meet_again_and_another_male_may_join(owner):
    mira, deneb, altair = cast.female("Mira"), cast.male("Deneb"), cast.male("Altair")
    pair(mira, deneb, "2026-01-15", "2026-02-01")
    pair(mira, deneb, "2026-02-01")
    pair(mira, altair, "2026-02-01")
    assert Pairing.objects.count() == 3
    with pytest.raises(ValidationError, match="until now already"):
        pair(mira, deneb, "2026-03-01")


def test_a_withdrawn_pairing_is_in_nobodys_way(owner):
    mira, deneb = cast.female("Mira"), cast.male("Deneb")
    first = pair(mira, deneb, "2026-01-15")
    program_services.withdraw(first, by=None, now=timezone.now(), reason="The wrong male.")
    assert pair(mira, deneb, "2026-01-15").is_open


@pytest.mark.parametrize(
    ("female_sex", "male_sex", "said"),
    [
        ("M", "M", "Mira is not recorded as a female."),
        ("U", "M", "Mira is not recorded as a female."),
        ("F", "F", "Deneb is not recorded as a male."),
        ("F", "U", "Deneb is not recorded as a male."),
    ],
)
def test_a_pair_is_a_female_and_a_male(owner, female_sex, male_sex, said):
    with pytest.raises(ValidationError, match=said):
        pair(cast.ray("Mira", female_sex), cast.ray("Deneb", male_sex))


def test_nobody_is_paired_with_itself(owner):
    mira = cast.female("Mira")
    with pytest.raises(ValidationError, match="Mira cannot be paired with herself"):
        pair(mira, mira)


def test_nobody_is_paired_in_the_future(owner):
    with pytest.raises(ValidationError, match="21 March 2026 is still to come"):
        pair(cast.female("Mira"), cast.male("Deneb"), "2026-03-21")


def test_nobody_is_paired_before_there_were_records(owner):
    with pytest.raises(ValidationError, match="0001-01-01 is too long ago; the earliest year is"):
        pair(cast.female("Mira"), cast.male("Deneb"), "0001-01-01")


def test_nobody_is_separated_in_the_future_or_before_they_met(owner):
    mira, deneb = cast.female("Mira"), cast.male("Deneb")
    with pytest.raises(ValidationError, match="21 March 2026 is still to come"):
        pair(mira, deneb, "2026-03-01", "2026-03-21")
    with pytest.raises(ValidationError, match=r"28 February 2026 is before they were introduced"):
        pair(mira, deneb, "2026-03-01", "2026-02-28")
    assert not Pairing.objects.exists()


def test_the_dead_are_paired_only_for_days_when_they_lived(owner):
    mira, deneb = cast.female("Mira"), cast.male("Deneb")
    change_state(mira, state=Animal.State.DIED, on=cast.day("2026-02-01"))
    with pytest.raises(ValidationError, match=r"Mira died on 1 February 2026; 1 March 2026 is"):
        pair(mira, deneb, "2026-03-01")
    assert pair(mira, deneb, "2026-01-15", "2026-01-20").separated_on


def test_nobody_is_paired_before_birth(owner):
    mira = cast.female("Mira", born_on=cast.day("2026-02-02"), born_precision="day")
    with pytest.raises(ValidationError, match=r"Mira was born on 2 February 2026, after 1"):
        pair(mira, cast.male("Deneb"), "2026-02-01", "2026-02-03")


def test_one_born_in_a_year_may_be_paired_late_in_that_year(owner):
    """A birth known to the year stands as 1 January and forbids nothing in that year."""
    mira = cast.female("Mira", born_on=cast.day("2025-01-01"), born_precision="year")
    young = {"sure": cast.SURE, "reason": "the year alone is known"}
    assert pair(mira, cast.male("Deneb"), "2025-12-01", **young)


def test_an_earlier_time_of_two_that_are_together_again_is_written_down_with_both_days(owner):
    mira, deneb = cast.female("Mira"), cast.male("Deneb")
    pair(mira, deneb, "2026-03-01")
    earlier = pair(mira, deneb, "2026-01-10", "2026-02-10")
    assert earlier.separated_on == cast.day("2026-02-10")
    with pytest.raises(ValidationError, match="still to come"):
        pair(cast.female("Vega"), deneb, "2025-12-01", str(TODAY + datetime.timedelta(days=1)))


def test_two_are_separated_once(owner):
    pairing = pair(cast.female("Mira"), cast.male("Deneb"))
    separate(pairing, on=cast.day("2026-03-10"), today=TODAY, note=" Divider closed. ")
    assert (pairing.separated_on, pairing.separation_note) == (
        cast.day("2026-03-10"),
        "Divider closed.",
    )
    with pytest.raises(ValidationError, match="apart since 10 March 2026 already"):
        separate(pairing, on=cast.day("2026-03-11"), today=TODAY)


def test_a_withdrawn_pairing_is_not_separated(owner):
    pairing = pair(cast.female("Mira"), cast.male("Deneb"))
    program_services.withdraw(pairing, by=None, now=timezone.now(), reason="Never happened.")
    with pytest.raises(ValidationError, match="has been withdrawn"):
        separate(pairing, on=TODAY, today=TODAY)


# ------------------------------------------------------------------------ sightings and scans


def see(female, kind="following", **more):
    return cast.see(female, more.pop("seen_at", NOW), kind, now=NOW, **more)


NOW = datetime.datetime(2026, 3, 20, 18, 0, tzinfo=datetime.UTC)


def test_severity_is_kept_for_the_kinds_that_ask_for_it(owner):
    mira = cast.female("Mira")
    assert see(mira, "fresh_bite_marks", severity=3).severity == 3
    assert see(mira, "copulation", severity=3).severity is None


def test_no_male_is_guessed(owner):
    mira, deneb = cast.female("Mira"), cast.male("Deneb")
    pair(mira, deneb)
    assert see(mira, "copulation").male is None
    assert see(mira, "copulation", male=deneb).male == deneb


def test_something_else_needs_a_word(owner):
    mira = cast.female("Mira")
    with pytest.raises(ValidationError, match="Say in a few words what you saw"):
        see(mira, "other", note="  ")
    assert see(mira, "other", note=" Digging in the sand. ").note == "Digging in the sand."


def test_nothing_is_seen_in_the_future_on_the_dead_or_on_a_male(owner):
    mira, deneb = cast.female("Mira"), cast.male("Deneb")
    with pytest.raises(ValidationError, match="is still to come; choose an earlier time"):
        see(mira, seen_at=NOW + datetime.timedelta(minutes=6))
    assert see(mira, seen_at=NOW + datetime.timedelta(minutes=4))  # a phone's clock may be ahead
    with pytest.raises(ValidationError, match="“Following” is written down of the female: choose"):
        see(deneb)
    with pytest.raises(ValidationError, match="Mira is not recorded as a male"):
        see(cast.female("Vega"), male=mira)
    change_state(mira, state=Animal.State.LEFT, on=cast.day("2026-03-19"))
    with pytest.raises(ValidationError, match="Mira left on 19 March 2026"):
        see(mira)


def test_a_photograph_goes_with_the_sighting_and_not_on_her_face(owner):
    mira = cast.female("Mira")
    file = BytesIO()
    Image.new("RGB", (640, 480), "teal").save(file, "PNG")
    file.seek(0)
    seen = see(mira, "fresh_bite_marks", photograph=file)
    mira.refresh_from_db()
    assert seen.photograph.caption == "Fresh bite marks"
    assert seen.photograph.animal == mira
    assert mira.portrait is None


def test_a_broken_photograph_leaves_no_sighting(owner):
    mira = cast.female("Mira")
    with pytest.raises(ValidationError):
        see(mira, photograph=BytesIO(b"not a picture"))
    assert mira.sightings.count() == 0


def test_a_scan_with_pups_is_not_empty(owner):
    mira = cast.female("Mira")
    with pytest.raises(ValidationError, match="4 pups were seen, so the scan is not empty"):
        record_scan(female=mira, on=TODAY, positive=False, number_seen=4, today=TODAY, by=None)
    with pytest.raises(ValidationError, match="21 March 2026 is still to come"):
        record_scan(female=mira, on=cast.day("2026-03-21"), positive=True, today=TODAY, by=None)
    with pytest.raises(ValidationError, match="Deneb is not recorded as a female"):
        record_scan(female=cast.male("Deneb"), on=TODAY, positive=True, today=TODAY, by=None)
    assert (
        record_scan(
            female=mira, on=TODAY, positive=True, number_seen=4, today=TODAY, by=None
        ).number_seen
        == 4
    )


def test_an_outcome_is_a_kind_that_is_known_and_a_day_that_has_come(owner):
    mira = cast.female("Mira")
    with pytest.raises(ValidationError, match="lost"):
        record_outcome(female=mira, on=TODAY, kind="lost", today=TODAY, by=None)
    with pytest.raises(ValidationError, match="is still to come"):
        record_outcome(
            female=mira, on=cast.day("2026-04-01"), kind="resorbed", today=TODAY, by=None
        )
    assert not record_outcome(female=mira, on=TODAY, kind="resorbed", today=TODAY, by=None).is_birth


def test_a_record_is_withdrawn_once_and_with_a_reason(keeper):
    pairing = pair(cast.female("Mira"), cast.male("Deneb"))
    with pytest.raises(ValidationError, match="Say why"):
        program_services.withdraw(pairing, by=keeper, now=NOW, reason="  ")
    program_services.withdraw(pairing, by=keeper, now=NOW, reason=" The wrong male. ")
    assert (pairing.withdrawn_reason, pairing.withdrawn_by, pairing.is_open) == (
        "The wrong male.",
        keeper,
        False,
    )
    with pytest.raises(ValidationError, match="withdrawn already"):
        program_services.withdraw(pairing, by=keeper, now=NOW, reason="Again.")


def test_the_particulars_of_a_sighting_go_on_after_the_name_of_the_sign(owner):
    mira, deneb = cast.female("Mira"), cast.male("Deneb")
    sign = SignKind.objects.get(key="fresh_bite_marks")
    bare = Sighting(female=mira, kind=sign)
    assert bare.particulars == ""
    full = Sighting(female=mira, kind=sign, severity=0, male=deneb, note="left fin")
    assert full.particulars == ", severity 0, with Deneb: left fin"
