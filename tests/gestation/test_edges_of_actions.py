"""At which figure an action begins and ends: estimates made up, thresholds met exactly."""

import datetime
from typing import Any

import numpy as np
import pytest

from breeding.gestation.actions import Action, Injury, Rules, actions
from breeding.gestation.estimate import Estimate, Points
from breeding.gestation.reasons import Reason
from breeding.program.models import Program

START = datetime.date(2026, 8, 1)
GENTLY = "Move the male or close the divider rather than move her."


def day(number: int) -> datetime.date:
    return START + datetime.timedelta(days=number)


def points(first: int, middle: int, last: int) -> Points:
    return Points(day(first), day(first), day(middle), day(last), day(last))


WINDOW = points(103, 121, 139)


def est(asof: int = 20, **facts: Any) -> Estimate:
    """Expected between days 103 and 139, unless said otherwise."""
    nothing = ((), np.zeros(0))
    wanted = {
        "chance": 0.6,
        "announced_chance": 0.6,
        "announced": WINDOW,
        "lateness": 0.0,
        "due": WINDOW,
        "mating": points(0, 5, 10),
        "due_distribution": nothing,
        "mating_distribution": nothing,
        "reasons": (),
    }
    return Estimate(asof=day(asof), **{**wanted, **facts})


def doubtful(**facts: Any) -> Estimate:
    """Too little to plan for."""
    return est(**{"chance": 0.3, "announced_chance": 0.3, **facts})


def kinds(*args: Any, **more: Any) -> dict[str, int]:
    return {one.kind: (one.on - START).days for one in actions(*args, **more)}


def scan(on: int, *, positive: bool = True, weight: float = 0.2) -> Reason:
    return Reason("scan", day(on), day(on), weight, positive=positive)


def sign(on: int, weight: float = 0.5, kind: str = "copulation") -> Reason:
    return Reason("sign", day(on), day(on), weight, sign=kind)


def company(days: int, weight: float = 0.5) -> Reason:
    return Reason("company", day(0), day(days - 1), weight, days=days)


# ------------------------------------------------------------------------------------ the rules


def test_the_rules_begin_as_a_new_program_has_them() -> None:
    rules, program = Rules(), Program()
    assert rules.separation_lead_days == program.separation_lead_days
    assert rules.nursery_lead_days == program.nursery_lead_days
    assert rules.bred_chance == program.bred_chance
    assert rules.overdue_lateness == program.overdue_lateness
    assert rules.severity_limit == program.separate_at_severity
    assert rules.worth_planning_chance == program.planning_chance


@pytest.mark.parametrize(
    ("name", "most"),
    [("severity_limit", 4), ("bred_chance", 1), ("separation_lead_days", 3660),
     ("overdue_within_days", 3660)],
)  # fmt: skip
def test_a_rule_reaches_from_nothing_to_the_most_that_makes_sense(name: str, most: int) -> None:
    for value in (0, most):
        assert getattr(Rules(**{name: value}), name) == value  # type: ignore[arg-type]
    for value in (-1, -0.01, most + 0.01, most + 1):
        with pytest.raises(ValueError, match=f"{name} is {value}; it must be from 0 to {most}"):
            Rules(**{name: value})  # type: ignore[arg-type]


# ------------------------------------------------------------------- expected, late, in doubt


def test_from_an_even_chance_on_a_birth_is_planned() -> None:
    planned = {"settle": 55, "nursery_by": 96, "watch_from": 103}
    assert kinds(est(announced_chance=0.5)) == planned
    assert kinds(est(announced_chance=0.499, chance=0.1)) == {}
    rules = Rules(worth_planning_chance=0.7, nursery_lead_days=10)
    assert kinds(est(chance=0.1), rules=rules) == {}
    assert kinds(est(announced_chance=0.7), rules=rules) == planned | {"nursery_by": 93}


def test_where_nothing_speaks_for_pups_nothing_follows() -> None:
    none = est(chance=0.0, announced_chance=0.0, announced=None, due=None, mating=None)
    assert actions(none) == actions(none, together_since=day(0)) == ()


def test_from_95_of_100_on_she_is_past_her_window() -> None:
    assert list(kinds(est(140, lateness=0.95, due=None))) == ["overdue"]
    assert list(kinds(est(140, lateness=0.949))) == ["settle", "nursery_by", "watch_from"]


def test_one_that_was_never_planned_for_is_never_late() -> None:
    assert list(kinds(doubtful(asof=140, lateness=0.99))) == ["settle"]


def test_every_action_says_what_to_do_in_a_few_words() -> None:
    scanned, nursery, watch = actions(est())
    assert scanned.heading == "a scan could tell"
    assert (nursery.heading, watch.heading) == ("make a nursery ready", "watch daily for pups")


# ----------------------------------------------------------------------------- a scan could tell


def test_from_a_chance_of_a_fifth_on_a_scan_could_tell_45_days_after_the_last_mating_day() -> None:
    (line,) = actions(doubtful(chance=0.2))
    assert (line.kind, line.on) == ("settle", day(55))
    assert line.reason == "Perhaps pregnant, 20 %. From 25 September 2026 on a scan could tell."
    assert "settle" in kinds(est(chance=0.949))
    assert "settle" not in kinds(est(chance=0.95))
    assert kinds(doubtful(chance=0.199)) == {}
    assert kinds(doubtful(mating=None)) == {}


def test_a_scan_settles_it_from_that_very_day_on_and_nothing_else_does() -> None:
    assert kinds(doubtful(reasons=(sign(5), scan(55, positive=False)))) == {}
    assert kinds(doubtful(reasons=(scan(54), sign(60)))) == {"settle": 55}
    assert kinds(doubtful(reasons=(sign(60),))) == {"settle": 55}


def test_while_she_is_with_a_male_a_scan_could_tell_once_the_likelier_half_would_show() -> None:
    assert kinds(doubtful(), together_since=day(0)) == {"settle": 50}


@pytest.mark.parametrize(("asof", "is_near"), [(88, False), (89, True), (139, True), (140, False)])
def test_a_window_near_at_a_small_chance_is_said_and_a_scan_offered(
    asof: int, is_near: bool
) -> None:
    found = kinds(doubtful(asof=asof))
    assert found == ({"perhaps_due": 103} if is_near else {"settle": 55})
    assert kinds(doubtful(asof=asof, chance=0.199)) == {}


# --------------------------------------------------------------------------------------- harm


def harm(*injuries: tuple[int, int], off_food: tuple[int, ...] = (), since: int = 10) -> Any:
    found = actions(
        doubtful(),  # on day 20
        together_since=day(since),
        injuries=[Injury(day(on), severity) for on, severity in injuries],
        off_food=[day(on) for on in off_food],
    )
    return next((one for one in found if one.kind != "settle"), None)


@pytest.mark.parametrize(("on", "counts"), [(9, False), (10, True), (20, True), (21, False)])
def test_harm_counts_from_the_first_day_of_the_company_until_today(on: int, counts: bool) -> None:
    for found in (harm((on, 3)), harm(off_food=(on,))):
        assert (found is not None) is counts
        if counts:
            assert (found.kind, found.on) == ("separate_now", day(on))


def test_marks_below_the_limit_are_no_harm() -> None:
    assert harm((15, 2)) is None
    assert harm((20, 3), since=20).on == day(20)  # put together today


def test_the_worst_is_named_and_the_first_is_the_day() -> None:
    found = harm((12, 3), (14, 4), (16, 4), (18, 3), (11, 2))
    assert found.on == day(12)
    assert found.reason == f"Injury of severity 4 on 17 August 2026, with the male. {GENTLY}"
    found = harm((18, 3), off_food=(16, 19))
    assert found.on == day(16)
    assert found.reason == (
        "Injury of severity 3 on 19 August 2026 and off her food on 20 August 2026, with the "
        f"male. {GENTLY}"
    )
    assert harm(off_food=(16,)).reason.startswith("Off her food on 17 August 2026, with the male.")


def test_company_that_begins_tomorrow_is_none_yet() -> None:
    hurt = {"injuries": [Injury(day(20), 4)], "period_over_on": day(30)}
    assert "separate_now" not in kinds(doubtful(), together_since=day(21), **hurt)
    assert "separate_now" in kinds(doubtful(), together_since=day(20), **hurt)


# --------------------------------------------------------------------------------- separation


def apart(found: Estimate, **more: Any) -> dict[str, int]:
    together = {"together_since": day(0), **more}
    return {kind: on for kind, on in kinds(found, **together).items() if "separate" in kind}


def test_two_weeks_before_her_window_she_is_separated_at_the_latest() -> None:
    assert apart(est()) == {"separate_by": 89}
    (line,) = (one for one in actions(est(), together_since=day(0)) if one.kind == "separate_by")
    assert line.reason == (
        f"Due 12 November to 18 December 2026; 14 days of rest before it. {GENTLY}"
    )
    assert apart(doubtful()) == {}


def test_three_in_four_are_bred_until_the_latest_day_has_come() -> None:
    bred = est(88, chance=0.75, reasons=(sign(5),))
    assert apart(bred) == {"separate_bred": 88}
    assert apart(est(88, chance=0.749)) == {"separate_by": 89}
    assert apart(est(89, chance=0.9, reasons=(sign(5),))) == {"separate_by": 89}
    assert apart(est(90, chance=0.9, reasons=(sign(5),))) == {"separate_by": 89}


def test_past_her_window_she_is_not_bred_anew() -> None:
    late = est(140, chance=0.95, announced_chance=0.96, lateness=0.95, due=None)
    assert list(kinds(late, together_since=day(0))) == ["overdue"]


@pytest.mark.parametrize(
    ("over_on", "expected"),
    [(88, {"separate_bred": 88}), (89, {"separate_bred": 89}), (90, {"separate_by": 89}),
     (None, {"separate_by": 89})],
)  # fmt: skip
def test_of_the_keepers_day_and_the_latest_the_earlier_counts(
    over_on: int | None, expected: dict[str, int]
) -> None:
    over = None if over_on is None else day(over_on)
    assert apart(est(), period_over_on=over) == expected


def test_without_a_latest_day_the_keepers_own_counts_alone() -> None:
    assert apart(doubtful(), period_over_on=day(400)) == {"separate_bred": 400}


def test_the_grounds_are_the_two_weightiest_that_speak_for_a_mating() -> None:
    reasons = (
        scan(30, positive=False, weight=0.6),
        sign(5, 0.5),
        Reason("not_born", day(20), day(20), 0.4),
        scan(40, weight=0.1),
        company(30, 0.1),
    )
    (line, *_) = actions(est(chance=0.92, reasons=reasons), together_since=day(0))
    assert line.reason == (
        "Bred: mating seen on 6 August 2026 and scan of 10 September 2026: pups seen, chance "
        f"92 %. {GENTLY}"
    )
    small = (sign(5, 0.099), company(30, 0.1))
    (line, *_) = actions(est(chance=0.92, reasons=small), together_since=day(0))
    assert line.reason.startswith(
        "Bred: shared water with a male on 30 days from 1 to 30 August 2026, chance 92 %."
    )


def test_actions_stand_by_their_days() -> None:
    assert list(kinds(est(), together_since=day(0))) == [
        *("settle", "separate_by", "nursery_by", "watch_from")
    ]
    assert kinds(est(), together_since=day(0), rules=Rules(separation_lead_days=0)) == {
        "settle": 50,
        "nursery_by": 96,
        "separate_by": 103,
        "watch_from": 103,
    }


# ------------------------------------------------------------------------------ past her window


def late(asof: int = 140, **facts: Any) -> Action:
    facts = {"lateness": 0.96, "announced_chance": 0.9, "due": None, **facts}
    (line,) = actions(est(asof, **facts))
    return line


@pytest.mark.parametrize(
    ("lateness", "said"),
    [
        (0.95, "all but 1 in 20"),
        (0.995, "all but 1 in 200"),
        (0.9951, "nearly all"),
        (1.0, "nearly all"),
    ],
)
def test_how_late_she_is_is_said_in_births(lateness: float, said: str) -> None:
    assert late(lateness=lateness).reason == (
        f"Was due 12 November to 18 December 2026; {said} would have given birth by now. A female "
        "past her window needs an aquatic veterinarian."
    )


def test_with_rules_of_ones_own_at_least_every_second_is_left_out() -> None:
    rules = Rules(overdue_lateness=0.2)
    (line,) = actions(est(110, lateness=0.2, due=None), rules=rules)
    assert "; all but 1 in 2 would" in line.reason


@pytest.mark.parametrize(
    ("chance", "said"),
    [(0.2, None), (0.199, "20 %"), (0.1, "10 %"), (0.0, "under 1 %")],
)
def test_below_a_fifth_it_is_said_that_she_may_not_be_pregnant(
    chance: float, said: str | None
) -> None:
    reason = late(chance=chance).reason
    assert ("The chance that she is pregnant is now" in reason) is (said is not None)
    if said is not None:
        assert f"pregnant is now {said}: once you are sure, record how it ended." in reason


def test_one_still_with_a_male_is_told_so() -> None:
    assert "still with a male" not in late().reason
    (line,) = actions(est(140, lateness=0.96, due=None), together_since=day(0))
    assert line.reason.endswith(f" She is still with a male. {GENTLY}")


@pytest.mark.parametrize(("middle", "kind"), [(170, "overdue"), (171, "long_without_birth")])
def test_due_more_than_thirty_days_on_it_is_from_a_later_mating(middle: int, kind: str) -> None:
    found = late(due=points(150, middle, 190), reasons=(sign(9), company(130)))
    assert (found.kind, found.on) == (kind, day(139))


def test_of_a_later_mating_the_days_with_a_male_and_the_new_window_are_said() -> None:
    found = late(due=points(150, 180, 190), reasons=(sign(9), company(130)))
    assert found.reason.startswith(
        "130 days with a male and no birth on record. If she is pregnant (chance 60 %) it is from "
        "a later mating, due 29 December 2026 to 7 February 2027."
    )
    assert late(due=points(150, 180, 190)).reason.startswith("0 days with a male")
