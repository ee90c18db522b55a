"""A young one that thins or gains less than its littermates: what the day says, and its page."""

import pytest

from breeding.agenda.queries import the_day
from breeding.animals.models import Animal
from breeding.animals.services import add_measurement
from breeding.litters.services import PupFacts, record_birth
from breeding.program import clock
from breeding.words.days import long_day
from tests.cast import SURE, ago, female, the_program, words

pytestmark = pytest.mark.django_db
WIDTHS = (110, 115, 120, 125, 130)
WEIGHTS = (68, 77, 88, 99, 112)
OTHERS = dict.fromkeys(("a", "b", "c", "d"), (WIDTHS, WEIGHTS))


def raised(**pups: tuple[tuple[int | None, ...], tuple[int | None, ...]]) -> dict[str, Animal]:
    """Pups of one litter, 42 days old, weighed every week until today."""
    facts = [PupFacts(sex="F") for _ in pups]
    born = record_birth(
        dam=female("Mira", pure="motoro"),
        born_on=ago(42),
        pups=facts,
        today=clock.today(),
        by=None,
        sure=SURE,
    )
    found = {}
    for (name, (widths, weights)), pup in zip(
        pups.items(), born.pups.order_by("number"), strict=True
    ):
        assert pup.animal is not None
        found[name] = pup.animal
        for week, (mm, grams) in enumerate(zip(widths, weights, strict=True)):
            add_measurement(
                pup.animal,
                by=None,
                on=ago(28 - 7 * week),
                disc_width_mm=mm,
                weight_g=grams,
                sure=SURE,
            )
    return found


def said() -> dict[int, str]:
    day = the_day(the_program(), today=clock.today())
    return {line.animal.pk: line.why for line in day.lines if line.kind.key == "lagging"}


def test_one_that_grows_wider_and_gains_no_weight_is_thin_on_the_day_and_on_its_page(as_keeper):
    pups = raised(**OTHERS, thin=(WIDTHS, (68, 77, 88, 89, 89)))
    [(key, why)] = said().items()
    assert key == pups["thin"].pk
    # 89 g at 130 mm for 77 g at 115 mm, the middle one of three: 1 - (89/77) / (130/115) ** 2.8
    assert why == (
        f"On {long_day(ago(0))} it was 18 % lighter for its width than at its three weighings "
        "before. Weigh it again in three days, and look at its food and its water."
    )
    assert why in words(as_keeper.get(pups["thin"].get_absolute_url()))
    assert why not in words(as_keeper.get(pups["a"].get_absolute_url()))


def test_one_that_gains_less_than_its_littermates_is_told_with_both_gains(as_keeper):
    pups = raised(**OTHERS, slow=((None,) * 5, (68, 77, 88, 99, 103)))
    [(key, why)] = said().items()
    assert key == pups["slow"].pk
    assert why == (
        f"Since the mean of its four earlier weighings (from {long_day(ago(28))}) its weight has "
        "changed by +25 %, that of the middle one of its littermates by +36 %. See that it gets "
        "its food, and weigh it again in three days."
    )
    assert why in words(as_keeper.get(pups["slow"].get_absolute_url()))


def test_where_nobody_is_weighed_the_widths_tell(as_keeper):
    nobody = (None,) * 5
    others = dict.fromkeys(OTHERS, (WIDTHS, nobody))
    pups = raised(**others, slow=((110, 115, 120, 125, 125), nobody))
    why = said()[pups["slow"].pk]
    assert (
        "its width has changed by +7 %, that of the middle one of its littermates by +11 %" in why
    )


def test_an_even_litter_and_one_put_right_say_nothing():
    pups = raised(**OTHERS, fine=((111, 116, 120, 126, 131), (69, 79, 88, 102, 113)))
    assert said() == {}
    assert pups["fine"].is_here
