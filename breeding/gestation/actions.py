"""What follows from an estimate: when to separate, make the nursery ready, watch, worry; pure.

Who gets dates, and who is left in peace:

- Safety first, whatever the chance: an injury or refused food in company means "separate now".
- Dates are planned from `worth_planning_chance` on. It is held against the chance *without*
  "not born yet", so that a female who goes over does not drop out of sight as that evidence
  lowers her chance: she turns up as overdue and stays until the keeper closes her season.
- From `worth_settling_chance` to below `settled_chance`: the day from which a scan can tell. It
  goes when she has been scanned from that day on.
- Below `worth_planning_chance`, but her window opens within two weeks: one line that says the
  chance, asks to look every day for pups as for any other birth, and offers the scan. Of fourteen
  such females at 41 % about six give birth.
- Below all of that: nothing. Days of company alone that nobody looks at reach an even chance after
  six weeks (base 1/60).

One separation at a time, the most pressing. Defaults are assumptions of this project; that
isolation is wanted before birth is common practice.
"""

import datetime
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from breeding.gestation.estimate import Estimate, Points
from breeding.gestation.reasons import Date, SayDay
from breeding.words.chances import chance as chance_words
from breeding.words.chances import pregnancy
from breeding.words.days import long_day, span_words
from breeding.words.language import message, tell, tell_many
from breeding.words.numbers import joined
from breeding.words.style import capital

HEADINGS = {  # from_males: " from Deneb" where the males are named, empty where they need not be
    "separate_now": message("separate{from_males} now"),
    "separate_bred": message("separate{from_males}, she is bred"),
    "separate_by": message("separate{from_males} at the latest"),
    "nursery_by": message("make a nursery ready"),
    "watch_from": message("watch daily for pups"),
    "overdue": message("past her window"),
    "long_without_birth": message("long without a birth"),
    "settle": message("a scan could tell"),
    "perhaps_due": message("her window opens, if she is pregnant"),
}
GENTLY = message("Move the male or close the divider rather than move her.")


@dataclass(frozen=True)
class Rules:
    """The program's own leads and thresholds. Raises ValueError for an impossible one.

    Days are 0 or more, chances 0 to 1, severity_limit 0 to 4.
    overdue_within_days: a female past her window whose birth, given that she is pregnant at
    all, would more likely come later than this is not overdue from the mating first thought
    of: with long company she was mated later, or a birth was missed.
    """

    separation_lead_days: int = 14
    nursery_lead_days: int = 7
    bred_chance: float = 0.75
    overdue_lateness: float = 0.95
    severity_limit: int = 3
    worth_planning_chance: float = 0.50
    worth_settling_chance: float = 0.20
    settled_chance: float = 0.95
    overdue_within_days: int = 30
    window_near_days: int = 14
    scan_detectable_days: int = 45

    def __post_init__(self) -> None:
        for name, value in vars(self).items():
            most = 4 if name == "severity_limit" else 1 if "_days" not in name else 3660
            if not 0 <= value <= most:
                raise ValueError(f"{name} is {value!r}; it must be from 0 to {most}.")


@dataclass(frozen=True)
class Injury:
    """Bite marks or another wound, severity 0 to 4."""

    on: Date
    severity: int


@dataclass(frozen=True)
class Action:
    """One thing to do and why.

    kind: "separate_now", "separate_bred", "separate_by", "nursery_by", "watch_from",
    "overdue", "long_without_birth", "settle" or "perhaps_due". on: the day it is for; one in the
    past has been waiting since then. reason: a sentence or two.
    """

    kind: str
    on: Date
    reason: str

    @property
    def heading(self) -> str:
        """What to do in a few words, without the males."""
        return tell(HEADINGS[self.kind], from_males="")


def actions(
    est: Estimate,
    *,
    together_since: Date | None = None,
    injuries: Iterable[Injury] = (),
    off_food: Iterable[Date] = (),
    period_over_on: Date | None = None,
    rules: Rules | None = None,
    day: SayDay = long_day,
    labels: Mapping[str, str] | None = None,
    names: Mapping[Any, str] | None = None,
) -> tuple[Action, ...]:
    """What is to be done for one female, earliest first.

    together_since: first day of the company she is in on `est.asof`; None when she is apart.
    injuries, off_food (days she refused food): only those in this company are counted.
    period_over_on: the day on which the keeper meant to end it. The window spoken of is the
    announced one, whose start does not run away as days pass.
    """
    rules = rules or Rules()
    planned = est.announced_chance >= rules.worth_planning_chance
    late = planned and est.lateness >= rules.overdue_lateness
    found: list[Action] = []
    if together_since is not None and together_since <= est.asof:
        basis = _basis(est, day, labels, names)
        harm = _harm(est.asof, together_since, injuries, off_food, rules, day)
        due = est.announced if planned and not late else None
        found.extend(harm or _separate(est, due, period_over_on, rules, day, basis))
    if late and est.announced:
        found.append(_past_window(est, est.announced, together_since, rules, day))
    elif planned and est.announced:
        found.extend(_before_birth(est.announced, rules, day))
        found.extend(_settle(est, together_since, rules, day))
    else:
        found.extend(_perhaps_due(est, rules, day) or _settle(est, together_since, rules, day))
    return tuple(sorted(found, key=lambda action: action.on))


def _basis(
    est: Estimate,
    day: SayDay,
    labels: Mapping[str, str] | None,
    names: Mapping[Any, str] | None,
) -> str:
    """The two weightiest grounds and the chance: "mating seen on 3 March 2026, chance 94 %"."""
    grounds = [
        reason.text(day, labels, names)
        for reason in est.reasons
        if reason.kind in ("sign", "company", "unknown")
        or (reason.kind == "scan" and reason.positive)
        if not reason.is_against
        if reason.weight >= 0.1
    ]
    return tell(
        "{grounds}, chance {chance}", grounds=joined(grounds[:2]), chance=chance_words(est.chance)
    )


def _harm(
    asof: Date,
    since: Date,
    injuries: Iterable[Injury],
    off_food: Iterable[Date],
    rules: Rules,
    day: SayDay,
) -> list[Action]:
    hurt = [i for i in injuries if since <= i.on <= asof and i.severity >= rules.severity_limit]
    fasts = [on for on in off_food if since <= on <= asof]
    if not hurt and not fasts:
        return []
    said = []
    if hurt:
        worst = max(hurt, key=lambda injury: (injury.severity, injury.on))
        said.append(
            tell(
                "injury of severity {severity} on {day}",
                severity=worst.severity,
                day=day(worst.on),
            )
        )
    if fasts:
        said.append(tell("off her food on {day}", day=day(max(fasts))))
    first = min([injury.on for injury in hurt] + fasts)
    reason = tell(
        "{what}, with the male. {gently}", what=capital(joined(said)), gently=tell(GENTLY)
    )
    return [Action("separate_now", first, reason)]


def _separate(
    est: Estimate,
    due: Points | None,
    period_over_on: Date | None,
    rules: Rules,
    day: SayDay,
    basis: str,
) -> list[Action]:
    """At most one: a deadline that has come, else bred, else the keeper's period or deadline."""
    deadline: Action | None = None
    if due:
        by = _days(due.p05, -rules.separation_lead_days)
        why = tell_many(
            "Due {span}; {number} day of rest before it. {gently}",
            "Due {span}; {number} days of rest before it. {gently}",
            rules.separation_lead_days,
            span=span_words(due.p05, due.p95, day),
            gently=tell(GENTLY),
        )
        deadline = Action("separate_by", by, why)
        if by <= est.asof:
            return [deadline]
    if est.chance >= rules.bred_chance and est.lateness < rules.overdue_lateness:
        why = tell("Bred: {grounds}. {gently}", grounds=basis, gently=tell(GENTLY))
        return [Action("separate_bred", est.asof, why)]
    if period_over_on is not None and (deadline is None or period_over_on <= deadline.on):
        why = tell(
            "The time meant for this pairing ends on {day}. {gently}",
            day=day(period_over_on),
            gently=tell(GENTLY),
        )
        return [Action("separate_bred", period_over_on, why)]
    return [deadline] if deadline else []


def _before_birth(due: Points, rules: Rules, day: SayDay) -> list[Action]:
    opens = due.p05
    window = span_words(due.p05, due.p95, day)
    return [
        Action(
            "nursery_by",
            _days(opens, -rules.nursery_lead_days),
            tell(
                "Due {span}. Tank free and cycled, divider in, ammonia and nitrite not detectable "
                "in a test of the last 3 days.",
                span=window,
            ),
        ),
        Action(
            "watch_from",
            opens,
            tell(
                "Due {span}, middle date {day}. Look every day for pups, a sunken belly, refused "
                "food.",
                span=window,
                day=day(due.p50),
            ),
        ),
    ]


def _past_window(
    est: Estimate, announced: Points, together_since: Date | None, rules: Rules, day: SayDay
) -> Action:
    if est.due and (est.due.p50 - est.asof).days > rules.overdue_within_days:
        reason = _long_without_birth(est, est.due, day)
        return Action("long_without_birth", announced.p95, reason)
    parts = [_overdue(est.lateness, span_words(announced.p05, announced.p95, day))]
    if est.chance < rules.worth_settling_chance:
        parts.append(
            tell(
                "The chance that she is pregnant is now {chance}: once you are sure, record how "
                "it ended.",
                chance=chance_words(est.chance or 1e-9),  # never "0 %": only a keeper can know that
            )
        )
    if together_since is not None:
        parts += [tell("She is still with a male."), tell(GENTLY)]
    return Action("overdue", announced.p95, " ".join(parts))


def _long_without_birth(est: Estimate, due: Points, day: SayDay) -> str:
    return tell_many(
        "{number} day with a male and no birth on record. If she is pregnant (chance {chance}) it "
        "is from a later mating, due {span}. A birth may have been missed; a scan or an aquatic "
        "veterinarian can tell.",
        "{number} days with a male and no birth on record. If she is pregnant (chance {chance}) it "
        "is from a later mating, due {span}. A birth may have been missed; a scan or an aquatic "
        "veterinarian can tell.",
        max((reason.days for reason in est.reasons), default=0),
        chance=chance_words(est.chance),
        span=span_words(due.p05, due.p95, day),
    )


def _overdue(lateness: float, span: str) -> str:
    if lateness > 0.995:
        return tell(
            "Was due {span}; nearly all would have given birth by now. A female past her window "
            "needs an aquatic veterinarian.",
            span=span,
        )
    return tell(
        "Was due {span}; all but 1 in {number} would have given birth by now. A female past her "
        "window needs an aquatic veterinarian.",
        span=span,
        number=max(round(1 / (1 - lateness)), 2),
    )


def _settle(est: Estimate, together_since: Date | None, rules: Rules, day: SayDay) -> list[Action]:
    """A scan is worth having once nearly all possible mating days are old enough to show.

    While she is with a male there are new ones every day: then once the likelier half is.
    """
    if est.mating is None or not rules.worth_settling_chance <= est.chance < rules.settled_chance:
        return []
    last = est.mating.p95 if together_since is None else est.mating.p50
    on = _days(last, rules.scan_detectable_days)
    if _is_scanned(est, on):
        return []
    words = tell(
        "{pregnancy}. From {day} on a scan could tell.",
        pregnancy=capital(pregnancy(est.chance)),
        day=day(on),
    )
    return [Action("settle", on, words)]


def _perhaps_due(est: Estimate, rules: Rules, day: SayDay) -> list[Action]:
    """Not likely, but her window opens within days: watched like any birth, and scanned."""
    due, near = est.announced, _days(est.asof, rules.window_near_days)
    if due is None or est.chance < rules.worth_settling_chance or not due.p05 <= near:
        return []
    if est.asof > due.p95:
        return []
    words = tell(
        "{pregnancy}. If she is, due {span}, middle date {day}. Look every day for pups, keep "
        "males away and have a place for them ready, as for any birth; a scan could tell now.",
        pregnancy=capital(pregnancy(est.chance)),
        span=span_words(due.p05, due.p95, day),
        day=day(due.p50),
    )
    return [Action("perhaps_due", due.p05, words)]


def _is_scanned(est: Estimate, on: Date) -> bool:
    return any(reason.kind == "scan" and reason.on >= on for reason in est.reasons)


def _days(on: Date, days: int) -> Date:
    return on + datetime.timedelta(days=days)
