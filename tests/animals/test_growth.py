"""Growth: the published curve, fits that find what was put in, spans that keep what they say."""

import math

import numpy as np
import pytest
from django.urls import reverse

from breeding.agenda.queries import the_day
from breeding.animals.growth import von_bertalanffy
from breeding.animals.growth.curve import Curve, age_at
from breeding.animals.growth.fit import Measured, fit_program
from breeding.animals.growth.line import StraightLine
from breeding.animals.growth.own import OwnGrowth
from breeding.animals.growth.reading import growth_of
from breeding.animals.growth.said import growth_said
from breeding.animals.models import Animal
from breeding.animals.services import add_measurement
from breeding.litters.models import Litter
from breeding.litters.queries import pups_of
from breeding.litters.raising.lagging import Lag, lagging
from breeding.litters.services import PupFacts, record_birth
from breeding.program import clock
from tests.cast import SURE, ago, female, the_program, words

# P. leopoldi, wild: Charvet, Santana, De Lima and Lessa 2018, J Fish Biol.
FEMALE = Curve(763.06, 0.12, 149.0)
MALE = Curve(536.4, 0.22, 109.0)


@pytest.mark.parametrize(
    ("curve", "widths"),
    [
        (FEMALE, [149.0, 218.4, 280.0, 334.6, 426.1, 578.1]),
        (MALE, [109.0, 193.4, 261.1, 315.5, 394.1, 489.0]),
    ],
)
def test_the_published_curve_gives_its_published_widths(curve: Curve, widths: list[float]) -> None:
    ages = np.array([0.0, 1, 2, 3, 5, 10])
    found = von_bertalanffy(ages, curve.final_width, curve.rate, curve.birth_width)
    assert [round(float(one), 1) for one in found] == widths


def test_an_age_is_the_inverse_of_a_width() -> None:
    assert FEMALE.age_at(FEMALE.width(2.5)) == pytest.approx(2.5)
    assert FEMALE.age_at(100) == 0.0
    assert FEMALE.age_at(800) is None


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ((-1, 763, 0.12, 149), "age_years is -1; 0 or more"),
        ((1, 0, 0.12, 149), "final_width is 0; a number above 0"),
        ((1, 763, 0, 149), "rate is 0; a number above 0"),
        ((1, 763, 0.12, 763), "birth_width is 763; a number below final_width"),
        ((math.nan, 763, 0.12, 149), "age_years is nan"),
    ],
)
def test_a_figure_that_cannot_be_is_named(arguments: tuple[float, ...], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        von_bertalanffy(*arguments)


def test_a_width_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="width is 0; a number above 0"):
        age_at(0, 763, 0.12, 149)


def test_without_measurements_the_published_curve_comes_back() -> None:
    program = fit_program([], start=FEMALE)
    assert (program.middle, program.animals) == (FEMALE, 0)


World = dict[str, float]


def litter_of(world: World, random: np.random.Generator) -> list[tuple[Measured, Curve]]:
    """Animals with curves of their own, each measured one to eight times with error."""
    found = []
    for _ in range(30):
        curve = Curve(
            600 * math.exp(0.1 * random.standard_normal()),
            world["rate"] * math.exp(world["apart"] * random.standard_normal()),
            100 + 5 * random.standard_normal(),
        )
        ages = np.sort(random.uniform(0, 0.6, random.integers(1, 9)))
        widths = np.array([curve.width(age) for age in ages])
        widths += world["noise"] * random.standard_normal(len(ages))
        found.append((Measured(ages, widths), curve))
    return found


@pytest.mark.parametrize(
    "world",
    [
        {"rate": 0.5, "apart": 0.2, "noise": 3.0},
        {"rate": 1.0, "apart": 0.2, "noise": 3.0},
        {"rate": 0.5, "apart": 0.4, "noise": 6.0},
    ],
)
def test_spans_of_nine_in_ten_hold_in_worlds_that_the_start_does_not_know(world: World) -> None:
    """The fit starts from a wild curve that is slower and larger than any of these animals."""
    held = []
    for seed in range(10):
        animals = litter_of(world, np.random.default_rng(seed))
        program = fit_program([measured for measured, _ in animals], start=FEMALE)
        for measured, curve in animals:
            true = curve.age_at(200)
            span = OwnGrowth(measured, program).reaches(200)
            assert true is not None
            assert span.early is not None
            held.append(span.early <= true and (span.late is None or true <= span.late))
    assert 0.85 <= float(np.mean(held)) <= 0.95


def test_a_fit_finds_the_growth_of_the_program() -> None:
    """The gain of the first half year: final width and rate alone cannot be told apart."""
    animals = litter_of({"rate": 0.5, "apart": 0.2, "noise": 3.0}, np.random.default_rng(11))
    program = fit_program([measured for measured, _ in animals], start=FEMALE)
    gain = program.middle.width(0.5) - program.middle.width(0)
    assert gain == pytest.approx(500 * (1 - math.exp(-0.25)), rel=0.10)
    assert program.spreads.noise == pytest.approx(3.0, rel=0.25)


def test_one_that_stopped_growing_is_behind_its_own_curve() -> None:
    animals = litter_of({"rate": 0.5, "apart": 0.2, "noise": 3.0}, np.random.default_rng(11))
    program = fit_program([measured for measured, _ in animals], start=FEMALE)
    curve = program.middle
    growth = OwnGrowth(
        Measured.of([(age, curve.width(age)) for age in (0, 0.1, 0.2, 0.3)]), program
    )
    assert growth.behind(0.4, curve.width(0.4)) == pytest.approx(0.5, abs=0.1)
    assert growth.behind(0.4, curve.width(0.3)) < 0.01


def test_a_straight_line_says_how_little_it_knows() -> None:
    line = StraightLine(Measured.of([(0.0, 100.0), (0.1, 120.0)]))
    span = line.reaches(140)
    assert line.gain == pytest.approx(200)
    assert span.middle == pytest.approx(0.2)
    assert span.early is not None
    assert span.late is not None
    assert span.early < 0.2 < span.late


def test_a_line_that_may_be_flat_ends_nowhere() -> None:
    span = StraightLine(Measured.of([(0.0, 100.0), (0.1, 101.0)])).reaches(140)
    assert span.early is not None
    assert span.late is None


def test_a_line_needs_two_widths_two_weeks_apart() -> None:
    with pytest.raises(ValueError, match="two weeks apart"):
        StraightLine(Measured.of([(0.0, 100.0), (0.01, 101.0)]))


def litter(widths: dict[str, list[int]]) -> dict[str, Animal]:
    """Pups of one litter born 56 days ago, the first width at birth, then every two weeks."""
    dam = female("Mira", pure="motoro")
    facts = [PupFacts(sex="F", disc_width_mm=each[0]) for each in widths.values()]
    born = record_birth(
        dam=dam, born_on=ago(56), pups=facts, today=clock.today(), by=None, sure=SURE
    )
    found = {}
    for name, pup in zip(widths, born.pups.order_by("pk"), strict=True):
        assert pup.animal is not None
        found[name] = pup.animal
        for number, width in enumerate(widths[name][1:], 1):
            add_measurement(
                pup.animal, by=None, on=ago(56 - 14 * number), disc_width_mm=width, sure=SURE
            )
    return found


def found_lagging() -> list[Lag]:
    pups = pups_of([Litter.objects.get()], asof=clock.today())
    every = [one for each in pups.values() for one in each]
    return lagging(every, asof=clock.today(), program=the_program())


EVEN = {"a": [100, 112, 124, 136, 148], "b": [102, 114, 126, 138, 150], "c": [98, 110, 122, 134]}


@pytest.mark.django_db
def test_a_young_one_of_a_litter_measured_often_has_a_curve_and_a_span() -> None:
    program = the_program()
    pups = litter({**EVEN, "d": [99, 109, 119, 127]})
    reading = growth_of(pups["d"])
    assert reading is not None
    assert not reading.is_line
    reaching = reading.reaches(150)
    assert reaching is not None
    assert reaching.early is not None
    assert reaching.late is not None
    assert ago(14) <= reaching.early <= reaching.late <= ago(-120)
    said = growth_said(pups["d"], program, today=clock.today())
    assert said is not None
    assert "15.0 cm wide some day from" in " ".join(said.sentences)
    assert "From this width on it is better for young to leave." in " ".join(said.sentences)
    assert "leaning on 4 animals of this program" in said.sentences[-1]
    assert said.picture.startswith("<svg")


@pytest.mark.django_db
def test_one_measured_twice_in_a_program_without_others_has_a_straight_line() -> None:
    program = the_program()
    pups = litter({"a": [100, 112]})
    reading = growth_of(pups["a"])
    assert reading is not None
    assert reading.is_line
    said = growth_said(pups["a"], program, today=clock.today())
    assert said is not None
    assert said.sentences[-1].startswith("A straight line through 2 widths")


@pytest.mark.django_db
def test_one_without_a_birthday_has_no_curve() -> None:
    the_program()
    old = female("Vega")
    add_measurement(old, by=None, on=ago(3), disc_width_mm=400, sure=SURE)
    assert growth_of(old) is None


@pytest.mark.django_db
def test_who_stops_growing_or_is_left_behind_reaches_the_day() -> None:
    program = the_program()
    stopped = [100, 112, 124, 136, 137]
    small = [85, 93, 101, 109, 117]
    pups = litter({**EVEN, "c": [98, 110, 122, 134, 146], "stopped": stopped, "small": small})
    lags = {lag.animal.pk: " ".join(lag.sentences) for lag in found_lagging()}
    assert set(lags) == {pups["stopped"].pk, pups["small"].pk}
    assert "less than its own growth led to expect" in lags[pups["stopped"].pk]
    assert "narrower than the middle one of its littermates" in lags[pups["small"].pk]
    day = the_day(program, today=clock.today())
    assert {line.animal.pk for line in day.lines if line.kind.key == "lagging"} == set(lags)


@pytest.mark.django_db
def test_an_even_litter_raises_no_alarm() -> None:
    the_program()
    litter({**EVEN, "c": [98, 110, 122, 134, 146], "d": [97, 108, 120, 131, 143]})
    assert found_lagging() == []


@pytest.mark.django_db
def test_in_a_program_of_ounces_the_weight_says_how_to_type_them(as_keeper) -> None:
    the_program(weight_unit="oz")
    pip = female("Pip")
    page = words(as_keeper.get(reverse("animals:measure", args=[pip.pk])))
    assert "Or with its unit behind it: 12 oz." in page
