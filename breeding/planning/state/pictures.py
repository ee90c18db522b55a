"""From the state of the program to its plots."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.safestring import SafeString, mark_safe

from breeding.planning.state.report import FounderRow, ProgramState
from breeding.program.plots import Bar, Series, bars, over_years, pyramid
from breeding.words.language import tell
from breeding.words.numbers import percent

FOUNDERS_SHOWN = 14
DOT_DIGITS = 3  # of F: two dots that differ by less lie on each other


@dataclass(frozen=True)
class StatePictures:
    """The plots of the page; an empty one has nothing to draw."""

    ages: SafeString
    founders: SafeString
    inbreeding: SafeString
    history: SafeString
    left_out: int  # founders without a bar of their own
    left_out_share: float


def state_pictures(state: ProgramState) -> StatePictures:
    """Drawn for a phone's width; a desk shows the same."""
    shown = state.founders[:FOUNDERS_SHOWN]
    rest = state.founders[FOUNDERS_SHOWN:]
    ages, founders, inbreeding, history = (
        mark_safe(svg)  # noqa: S308  (plots escapes every name)
        for svg in (_ages(state), _founders(shown), _inbreeding(state), _history(state))
    )
    return StatePictures(
        ages=ages,
        founders=founders,
        inbreeding=inbreeding,
        history=history,
        left_out=len(rest),
        left_out_share=sum(row.share for row in rest),
    )


def _ages(state: ProgramState) -> str:
    return pyramid(
        [(one.label, one.females, one.males, one.unknown) for one in state.ages],
        id="ages",
        title=tell("Living animals by age and sex"),
    )


def _founders(shown: Sequence[FounderRow]) -> str:
    return bars(
        [
            Bar(row.name, row.share, _founder_words(row), "faint" if row.pk is None else "bar")
            for row in shown
        ],
        id="founders",
        title=tell("Founders' shares in the living"),
    )


def _inbreeding(state: ProgramState) -> str:
    """Dots that would lie on each other are drawn once."""
    dots = {
        (one.year, round(value, DOT_DIGITS)): (one.year, value)
        for one in state.birth_years
        for value in one.values
    }
    return over_years(
        [
            Series(
                tell("Mean F of those born in the year"),
                [(one.year, one.mean) for one in state.birth_years],
            )
        ],
        points=list(dots.values()),
        id="f-years",
        title=tell("Inbreeding by year of birth"),
        unit="F, %",
    )


def _history(state: ProgramState) -> str:
    return over_years(
        [
            Series(
                tell("Gene diversity"),
                [(_decimal(one.on), one.gene_diversity) for one in state.history],
            )
        ],
        id="gd-years",
        title=tell("Gene diversity over the years"),
        unit=tell("gene diversity, %"),
        from_zero=False,
    )


def _founder_words(row: FounderRow) -> str:
    said = percent(row.share)
    if row.retained is None:
        return said
    if row.retained == 1:
        return tell("{share}, all of its genes left", share=said)
    return tell("{share}, {left} of its genes left", share=said, left=percent(row.retained))


def _decimal(on: datetime.date) -> float:
    return float(on.year + (on.timetuple().tm_yday - 1) / 365.25)
