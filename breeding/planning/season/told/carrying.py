"""Whether a female probably carries a litter already: by whom, what was seen, and until when."""

import datetime

from breeding.pairings.season.reading import SeasonReading
from breeding.words.chances import chance
from breeding.words.days import short_day
from breeding.words.language import tell, tell_as
from breeding.words.numbers import joined

SURE_OF_SIRE = 0.95  # from this share on one male is named alone


def due_by(season: SeasonReading) -> datetime.date | None:
    """By when she gives birth, if she does: of one past her window the day that is left."""
    window, due = season.estimate.announced, season.estimate.due
    if window is None:
        return None
    by: datetime.date = window.p95
    return due.p95 if by < season.asof and due is not None else by


def carries(season: SeasonReading | None) -> bool:
    """Whether dates are planned from it: then no other litter of hers is."""
    return season is not None and season.estimate.chance >= season.rules.worth_planning_chance


def carries_words(season: SeasonReading | None) -> str:
    """As a part of a sentence after her name; empty where she probably carries none."""
    if season is None or not carries(season):
        return ""
    males = joined(sires_of(season), "or")
    is_sure = season.estimate.chance >= season.rules.settled_chance
    facts = tell_as("between the parts of a list", ", ").join(_facts(season))
    values = {"males": males, "facts": facts}
    if is_sure and males:
        said = tell("carries a litter by {males} already", **values)
    elif males:
        said = tell("probably carries a litter by {males} already", **values)
    elif is_sure:
        said = tell("carries a litter already")
    else:
        said = tell("probably carries a litter already")
    return tell("{said} ({facts})", said=said, facts=facts) if facts else said


def litter_words(season: SeasonReading) -> str:
    """The same in short, behind her name: "by Hamal, 87 %, pups seen 18 Sep, due by 13 Dec"."""
    males = joined(sires_of(season), "or")
    parts = [tell("by {males}", males=males)] if males else []
    return tell_as("between the parts of a list", ", ").join([*parts, *_facts(season)])


def sires_of(season: SeasonReading) -> list[str]:
    """Names of those who may be the sire, the likeliest first."""
    return [season.males[key] for key in sire_keys(season) if key in season.males]


def sire_keys(season: SeasonReading) -> list[int]:
    shares = season.sires
    ordered = sorted(shares, key=lambda key: (-shares[key], key))
    if ordered and shares[ordered[0]] >= SURE_OF_SIRE:
        return ordered[:1]
    return ordered


def _facts(season: SeasonReading) -> list[str]:
    found, today = [chance(season.estimate.chance)], season.asof
    seen = [scan.on for scan in season.scans if scan.positive]
    if seen and season.pups_seen:
        found.append(tell("pups seen {day}", day=short_day(seen[-1], today)))
    by = due_by(season)
    window = season.estimate.announced
    if by is None or window is None:
        return found
    if by != window.p95:
        found.append(
            tell(
                "was due by {was} and may still come by {day}",
                was=short_day(window.p95, today),
                day=short_day(by, today),
            )
        )
    else:
        found.append(tell("due by {day}", day=short_day(by, today)))
    return found
