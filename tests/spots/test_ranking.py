"""Who is in the picture: animals known again, strangers told as nobody, bad input said in words."""

import numpy as np
import pytest

from breeding.spots import likeliest, partners
from breeding.spots.evidence import FEWEST, chances, telling
from tests.spots.rendered import glimpsed, grown, invented

NUMBER = 40


@pytest.fixture(scope="module")
def animals():
    random = np.random.default_rng(1986)
    return [invented(random, int(count)) for count in random.integers(15, 70, NUMBER)]


@pytest.fixture(scope="module")
def known(animals):
    random = np.random.default_rng(1987)
    return {
        f"R{row}": [(18.0, glimpsed(one, random)), (4.0, glimpsed(one, random))]
        for row, one in enumerate(animals)
    }


def of_today(animals, row, seed=5):
    random = np.random.default_rng(seed + row)
    return glimpsed(grown(animals[row], 6, random), random)


@pytest.mark.parametrize("row", range(0, NUMBER, 4))
def test_an_animal_on_record_is_known_again(animals, known, row):
    found = likeliest(of_today(animals, row), known)
    assert found[0][0] == f"R{row}"
    assert found[0][1] > 0.9
    assert sum(chance for _, chance in found) == pytest.approx(1)
    assert {one for one, _ in found} == {*known, None}
    assert [chance for _, chance in found] == sorted((c for _, c in found), reverse=True)


@pytest.mark.parametrize("row", range(2, NUMBER, 8))
def test_a_stranger_is_most_likely_nobody_on_record(animals, known, row):
    others = {one: pictures for one, pictures in known.items() if one != f"R{row}"}
    found = likeliest(of_today(animals, row), others)
    assert found[0][0] is None
    assert max(chance for one, chance in found if one is not None) < 0.5


def test_a_dim_picture_that_agrees_with_none_does_not_say_that_it_is_a_stranger(animals, known):
    others = {one: pictures for one, pictures in known.items() if one != "R2"}
    clear, dim = (dict(likeliest(of_today(animals, 2), others, dim=one)) for one in (False, True))
    assert clear[None] > 0.6
    assert dim[None] < 0.4
    assert likeliest(of_today(animals, 2), known, dim=True)[0][0] == "R2"


def test_the_order_of_spots_pictures_and_animals_says_nothing(animals, known):
    seen = of_today(animals, 3)
    shuffled = {one: [(m, s[::-1]) for m, s in known[one][::-1]] for one in reversed(known)}
    first, second = dict(likeliest(seen, known)), dict(likeliest(seen[::-1], shuffled))
    assert first == pytest.approx(second, abs=1e-4)


def test_a_disc_turned_by_ten_degrees_is_known_again(animals, known):
    seen, turn = of_today(animals, 8), np.radians(10)
    seen[:, :2] = seen[:, :2] @ [[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]]
    assert likeliest(seen, known)[0][0] == "R8"


def test_with_nobody_on_record_it_is_nobody():
    assert likeliest(invented(np.random.default_rng(1), 20).spots, {}) == [(None, 1.0)]


@pytest.mark.parametrize("count", range(FEWEST))
def test_too_few_spots_leave_the_chances_as_they_were_before(animals, known, count):
    found = dict(likeliest(of_today(animals, 0)[:count], known))
    assert found[None] == pytest.approx(0.2)
    assert found["R7"] == pytest.approx(0.8 / NUMBER)


def test_an_animal_without_a_picture_keeps_its_share(animals, known):
    album = {**known, "never photographed": [], "blurred": [(2.0, np.empty((0, 3)))]}
    random = np.random.default_rng(3)
    found = dict(likeliest(glimpsed(invented(random, 40), random), album))
    assert found["never photographed"] == pytest.approx(found["blurred"])
    assert found["never photographed"] == pytest.approx(found[None] / 0.2 * 0.8 / (NUMBER + 2))


def test_an_old_picture_tells_less_than_a_new_one(animals):
    seen = of_today(animals, 5)
    others = {row: [(1.0, animals[row].spots)] for row in range(10) if row != 5}
    chance = [dict(likeliest(seen, {**others, 5: [(months, animals[5].spots)]}))[5]
              for months in (0, 60, 240)]  # fmt: skip
    assert chance[0] > chance[1] > chance[2]


def test_a_species_whose_pattern_changes_forgets_sooner(animals):
    """A picture that does not agree speaks less against an animal the faster its spots change."""
    seen, other = of_today(animals, 5), {"R6": [(24.0, animals[6].spots)]}
    slow, fast = (dict(likeliest(seen, other, halving_months=m))["R6"] for m in (120, 6))
    assert slow < fast < 0.8


def test_the_spots_that_say_so_are_joined(animals, known):
    seen = of_today(animals, 12)
    same, other = partners(seen, known["R12"]), partners(seen, known["R13"])
    assert len(same.pairs) > 0.6 * len(seen)
    assert same.ratio > 1000 > other.ratio
    record = known["R12"][same.picture][1]
    apart = np.hypot(*(seen[same.pairs[:, 0], :2] - record[same.pairs[:, 1], :2]).T)
    assert np.median(apart) < 0.1


def test_the_picture_that_agrees_best_is_named(animals):
    random = np.random.default_rng(6)
    pictures = [(3.0, glimpsed(animals[20], random)), (3.0, animals[12].spots), (3.0, [])]
    assert partners(of_today(animals, 12), pictures).picture == 1


def test_without_enough_spots_nothing_is_joined(animals):
    assert partners(animals[0].spots[: FEWEST - 1], [(1.0, animals[0].spots)]) is None
    assert partners(animals[0].spots, [(1.0, animals[0].spots[:2])]) is None
    assert partners(animals[0].spots, []) is None


def test_chances_share_what_nobody_leaves():
    assert chances(np.array([])).tolist() == [1.0]
    assert chances(np.array([3.0, 1.0]), nobody=0.5) == pytest.approx(np.array([3, 1, 2]) / 6)


def test_a_fit_tells_less_with_few_spots_and_in_an_old_picture():
    now = telling(40, np.array([0.0, 36.0, -2.0]), 36)
    assert now[1] == pytest.approx(now[0] / 2)
    assert now[2] == now[0]
    assert telling(6, np.array([0.0]), 36)[0] < now[0] < 1


SPOTS = invented(np.random.default_rng(1), 20).spots


@pytest.mark.parametrize(
    ("seen", "known", "said"),
    [
        (
            np.full((5, 3), np.nan),
            {},
            r"seen has in row 0 the spot \[nan, nan, nan\]",
        ),
        ([[0.1, 0.2, 0.05], [9, 0, 0.1]], {}, r"seen has in row 1 the spot \[9.0, 0.0, 0.1\]"),
        ([[0.1, 0.2, 0.0]], {}, "the radius above 0"),
        (np.full((501, 3), 0.1), {}, "seen holds 501 spots; it may hold 500 at most"),
        ([[0.1, 0.2]], {}, r"seen has the shape \(1, 2\); it must be \(n, 3\)"),
        ("spots", {}, "seen is 'spots'; it must be spots of three numbers"),
        (SPOTS, {None: [(1.0, SPOTS)]}, "known holds the id None; it stands for nobody"),
        (SPOTS, {"A": [(np.nan, SPOTS)]}, "A picture of 'A' is nan months old"),
        (SPOTS, {"A": [(1.0, SPOTS[:, :2])]}, r"A picture of 'A' has the shape \(20, 2\)"),
        (SPOTS, {"A": [(1.0, -SPOTS)]}, "A picture of 'A' has in row 0 the spot"),
    ],
)
def test_what_are_no_spots_is_refused_in_words(seen, known, said):
    with pytest.raises(ValueError, match=said):
        likeliest(seen, known)


@pytest.mark.parametrize("months", [0, -3, np.nan, np.inf])
def test_a_pattern_that_halves_in_no_time_is_refused(months):
    with pytest.raises(ValueError, match=r"halving_months is .*; it must be a number above 0"):
        likeliest(SPOTS, {"A": [(1.0, SPOTS)]}, halving_months=months)
