"""What a keeper is told to do, and when she is left in peace."""

import datetime

import pytest

from breeding.gestation.actions import Action, Injury, Rules, actions
from breeding.gestation.estimate import Estimate, Scan, Sign, estimate

START = datetime.date(2026, 8, 1)


def day(number: int) -> datetime.date:
    return START + datetime.timedelta(days=number)


def mated(asof: int, *scans: Scan) -> Estimate:
    """Exposed on days 0-29, bitten on day 12, mated on day 14; window days 106 to 141."""
    return estimate(
        exposed=[day(number) for number in range(30)],
        signs=[Sign(day(12), "fresh_bite_marks"), Sign(day(14), "copulation")],
        scans=scans,
        asof=day(asof),
    )


def company_only(days: int, asof: int, *scans: Scan) -> Estimate:
    return estimate(exposed=[day(n) for n in range(days)], scans=scans, asof=day(asof))


def dates(found: tuple[Action, ...]) -> dict[str, int]:
    return {action.kind: (action.on - START).days for action in found}


def test_an_expected_female_apart_gets_a_nursery_a_week_before_her_window_and_a_daily_look() -> (
    None
):
    found = actions(mated(59))
    assert dates(found) == {"settle": 60, "nursery_by": 99, "watch_from": 106}
    _, nursery, watch = found
    assert nursery.reason.startswith("Due 15 November to 20 December 2026. Tank free and cycled")
    assert "middle date 3 December 2026" in watch.reason


def test_the_window_spoken_of_does_not_run_away_as_days_pass() -> None:
    found = dates(actions(mated(120)))
    assert (found["nursery_by"], found["watch_from"]) == (99, 106)


def test_a_bred_female_in_company_is_to_be_separated_with_the_grounds_named() -> None:
    action = actions(mated(20), together_since=day(0))[0]
    assert (action.kind, action.on) == ("separate_bred", day(20))
    assert action.reason == (
        "Bred: mating seen on 15 August 2026 and fresh bite marks on 13 August 2026, "
        "chance 83 %. Move the male or close the divider rather than move her."
    )


def test_a_likely_female_in_company_is_separated_two_weeks_before_her_window_at_the_latest() -> (
    None
):
    est = company_only(50, 50)
    assert 0.5 < est.chance < 0.9
    found = dates(actions(est, together_since=day(0)))
    assert est.announced is not None
    assert found["separate_by"] == (est.announced.p05 - day(0)).days - 14
    longer = actions(est, together_since=day(0), rules=Rules(separation_lead_days=30))
    assert dates(longer)["separate_by"] == found["separate_by"] - 16


def test_once_the_latest_day_has_come_it_stands_before_everything_but_harm() -> None:
    est = mated(100)
    assert dates(actions(est, together_since=day(0)))["separate_by"] == 92
    hurt = actions(est, together_since=day(0), injuries=[Injury(day(99), 3)])
    assert hurt[-1].kind != "separate_by"
    assert "separate_now" in dates(hurt)
    assert "separate_by" not in dates(hurt)


def test_the_keepers_own_period_ends_the_company_when_nothing_else_does() -> None:
    est = company_only(10, 10)
    found = actions(est, together_since=day(0), period_over_on=day(14))
    assert dates(found) == {"separate_bred": 14}
    assert found[0].reason.startswith("The time meant for this pairing ends on 15 August 2026.")


@pytest.mark.parametrize("est", [company_only(3, 3), mated(20)])
def test_an_injury_or_refused_food_in_company_means_now_whatever_the_chance(est: Estimate) -> None:
    hurt = actions(
        est,
        together_since=day(0),
        injuries=[Injury(day(2), 3), Injury(day(1), 2)],
        off_food=[day(3)],
    )
    assert dates(hurt)["separate_now"] == 2
    now = next(action for action in hurt if action.kind == "separate_now")
    assert now.reason == (
        "Injury of severity 3 on 3 August 2026 and off her food on 4 August 2026, with the male. "
        "Move the male or close the divider rather than move her."
    )
    assert "separate_bred" not in dates(hurt)


def test_slight_marks_old_injuries_and_injuries_apart_do_not_separate_at_once() -> None:
    slight = actions(company_only(3, 3), together_since=day(0), injuries=[Injury(day(2), 2)])
    before = actions(company_only(3, 3), together_since=day(2), injuries=[Injury(day(1), 4)])
    apart = actions(company_only(3, 9), injuries=[Injury(day(2), 4)], off_food=[day(5)])
    assert slight == before == apart == ()


def test_a_few_days_of_company_without_a_sign_lead_to_nothing() -> None:
    est = company_only(5, 30)
    assert est.chance == pytest.approx(0.08, abs=0.005)
    assert actions(est) == ()
    assert actions(company_only(5, 200)) == ()  # nor is she ever overdue


def test_a_doubtful_female_gets_one_line_until_a_scan_has_settled_it() -> None:
    est = company_only(25, 40)
    assert 0.2 < est.chance < 0.5
    (only,) = actions(est)
    assert est.mating is not None
    assert only.kind == "settle"
    assert only.on == est.mating.p95 + datetime.timedelta(days=45)
    assert only.reason.startswith("Perhaps pregnant, 34 %. From 8 October 2026 on a scan")
    too_early = company_only(25, 40, Scan(day(30), False))
    assert dates(actions(too_early)) == dates((only,))
    assert actions(company_only(25, 80, Scan(day(75), False))) == ()
    seen = actions(company_only(25, 80, Scan(day(75), True)))
    assert [action.kind for action in seen] == ["nursery_by", "watch_from"]


def test_past_her_window_she_needs_a_veterinarian_and_does_not_drop_out_of_sight() -> None:
    (late,) = actions(mated(141))
    assert (late.kind, late.on) == ("overdue", day(141))
    assert late.reason.startswith("Was due 15 November to 20 December 2026; all but 1 in ")
    assert "aquatic veterinarian" in late.reason
    (long_after,) = actions(mated(400), together_since=None)
    assert long_after.kind == "overdue"
    assert "chance that she is pregnant is now under 1 %" in long_after.reason
    assert "still with a male" in actions(mated(145), together_since=day(0))[-1].reason


def test_a_year_with_a_male_and_no_birth_is_not_called_overdue_from_the_first_month() -> None:
    est = company_only(400, 400)
    assert est.lateness > 0.95
    found = actions(est, together_since=day(0))
    (line,) = [action for action in found if action.kind == "long_without_birth"]
    assert "overdue" not in dates(found)
    assert line.reason.startswith("400 days with a male and no birth on record.")


def test_actions_come_earliest_first_and_dates_as_the_page_writes_them() -> None:
    found = actions(mated(20), together_since=day(0), day=lambda on: f"<{on:%d.%m.}>")
    assert [action.on for action in found] == sorted(action.on for action in found)
    assert "Due <15.11.> to <19.12.>" in found[2].reason


@pytest.mark.parametrize(
    ("name", "value"),
    [("bred_chance", 1.5), ("separation_lead_days", -1), ("severity_limit", 5)],
)
def test_an_impossible_rule_is_refused_by_name(name: str, value: float) -> None:
    with pytest.raises(ValueError, match=f"{name} is {value}"):
        Rules(**{name: value})  # type: ignore[arg-type]
