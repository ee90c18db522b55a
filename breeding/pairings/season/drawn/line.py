"""A female's season as one horizontal line, or several on one sheet with a common time axis; pure.

SVG of our own, made on the server. Words are laid out so that they never overlap at any width;
a page embeds one drawing for the desk (width 660) and one for a phone (about 320 to 360), both
with text at its real size, and shows one of them. Colours come from the page (`CSS`), or, with
`standalone=True`, are written into the drawing for print.
"""

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import replace
from xml.sax.saxutils import quoteattr

from breeding.pairings.season.drawn.layout import (
    MARGIN,
    LabelRows,
    LaidBar,
    MonthTick,
    Scale,
    lay_bars,
    months,
    shortened,
    text_width,
    wrapped,
)
from breeding.pairings.season.drawn.pen import (
    BAND,
    CSS,
    FONTS,
    KEY,
    Distribution,
    Pen,
    likely_days,
    plain,
)
from breeding.pairings.season.drawn.told import (
    Company,
    Mark,
    SayDay,
    Season,
    describe,
    further_words,
    grouped,
    was_due,
)
from breeding.words.days import long_day, short_day, span_without_year
from breeding.words.language import message, tell
from breeding.words.numbers import joined

Date = datetime.date
__all__ = ["CSS", "KEY", "Company", "Mark", "Season", "describe", "draw"]

ROW, LANE, BAR = 16.0, 20.0, 16.0  # heights: words, lanes, bars
SHORTEST_DAYS = 75
NAME_SIZE = 16.0


def draw(
    seasons: Season | Sequence[Season],
    *,
    asof: Date,
    width: float = 660,
    id: str = "season",
    heading: bool | None = None,
    standalone: bool = False,
    format_date: SayDay = long_day,
    span: tuple[Date, Date] | None = None,
    described_by: str = "",
) -> str:
    """One season, or several under each other with a common time axis, as an SVG element.

    width: in CSS pixels, 240 or more; the height follows from what there is to say. id: begins
    the ids inside, so it has to be unique on the page (drawings of two widths differ).
    heading: names above the lines; by default only when there are several. span: the first and
    last day of the axis, such as a year; what lies outside is left out of the drawing, not of
    its words. described_by: the id of what says the same in words on its page; else the drawing
    holds these words. Raises ValueError when there is no season, the width is too small, or the
    span ends before it begins. Cost: proportional to the days drawn.
    """
    rows = [seasons] if isinstance(seasons, Season) else list(seasons)
    if not rows:
        raise ValueError("There is no season to draw.")
    if width < 240:
        raise ValueError(f"width is {width}; at least 240 is needed for a legible line.")
    if span and span[1] < span[0]:
        raise ValueError(f"The axis ends on {span[1]}, before it begins on {span[0]}.")
    heading = len(rows) > 1 if heading is None else heading
    pen = Pen(standalone)
    scale = Scale(*span, width) if span else _scale(rows, asof, width)
    ticks = months(scale)
    y = 2.0
    if len(rows) > 2:
        y = pen.months(ticks, y)
    for season in rows:
        inside = _inside(season, scale, asof) if span else season
        y = _draw_one(pen, inside, scale, ticks, asof, y, heading, alone=len(rows) == 1)
    if len(rows) > 1:
        y = pen.months(ticks, y)
    title = tell("Season of {females}", females=joined([season.name for season in rows]))
    size = f'viewBox="0 0 {width:g} {y:.0f}" width="{width:g}" height="{y:.0f}"'
    font = f' font-size="12" font-family={quoteattr(FONTS["sans"])}' if standalone else ""
    by, described = f"{id}-title", ""
    if described_by:
        about = f"aria-labelledby={quoteattr(by)} aria-describedby={quoteattr(described_by)}"
    else:
        told = " ".join(describe(season, asof, format_date) for season in rows)
        about = f"aria-labelledby={quoteattr(f'{by} {id}-desc')}"
        described = f"<desc id={quoteattr(f'{id}-desc')}>{plain(told)}</desc>"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="season" role="img" {size}{font} '
        f"{about}><title id={quoteattr(by)}>{plain(title)}</title>"
        f"{described}{''.join(pen.parts)}</svg>"
    )


ON_THE_LINE = {  # with its days, and where these have no room
    "was": (message("was due {days}"), message("was due")),
    "would": (message("would have been due {days}"), message("would have been due")),
    "is": (message("due {days}"), message("due")),
}


# -- one line ------------------------------------------------------------------------------


def _draw_one(
    pen: Pen,
    season: Season,
    scale: Scale,
    ticks: Sequence[MonthTick],
    asof: Date,
    y: float,
    heading: bool,
    alone: bool,
) -> float:
    """Draw a season from y down; where it ends."""
    width = scale.width
    if heading:
        y = _draw_heading(pen, season, width, y)
    today = scale.end(asof)
    for left in (False, True):  # a birth makes room for "today" just after it
        labels = LabelRows(width, most=5)
        for on in season.births:
            born = [tell("born {day}", day=_short(on)), tell("born")]
            labels.flag(scale.middle(on), born, "strong", left=left)
        if not scale.holds(asof) or labels.flag(today, [tell("today")], "strong"):
            break
    due_words: list[str] = []
    if season.window:
        with_days, without = ON_THE_LINE[was_due(season, season.window[1], asof)]
        due_words = [tell(with_days, days=_span(season.window)), tell(without)]
        ends = scale.at(season.window[0]), scale.end(season.window[1])
        labels.near(*ends, due_words, "due-text")
    unlabelled = _flag_signs(labels, season.signs, scale)

    top = y + labels.rows * ROW + 2
    axis = top + BAND
    pen.grid(ticks, top, axis)
    if season.window:
        pen.box("window", ends[0], top, ends[1] - ends[0], BAND)
    pen.density("mating", season.mating, scale, axis, season.chance)
    pen.density("due", season.due, scale, axis, season.chance)
    pen.line("axis", MARGIN, axis, width - MARGIN, axis)

    up: dict[float, int] = {}
    for pole, row in labels.poles:
        up[pole] = max(row, up.get(pole, 0))

    def reach(x: float) -> float:
        return top - up[x] * ROW - 12 if x in up else axis - 14

    if scale.holds(asof):
        pen.line("today", today, reach(today), today, axis + 4)
    for mark in season.signs:
        x = scale.middle(mark.on)
        pen.line("sign", x, reach(x), x, axis + 4, f"{mark.label}, {_short(mark.on)}")
    for on in season.separations:
        pen.line(
            "parted",
            scale.at(on),
            axis - 3,
            scale.at(on),
            axis + 5,
            tell("separated {day}", day=_short(on)),
        )
    for on in season.births:
        x = scale.middle(on)
        pen.line("born", x, reach(x), x, axis + 4, tell("born {day}", day=_short(on)))
        pen.parts.append(f'<circle {pen.look("born-dot")} cx="{x:.1f}" cy="{axis:.1f}" r="4.5"/>')
    for label in labels.labels:
        pen.text(label.style, label.x0, top - label.row * ROW - 4, label.text)

    _name_mating_days(pen, season, scale, today, axis)
    y = pen.months(ticks, axis) if alone else axis + 5
    y = _draw_bars(pen, season, scale, asof, y + 3)
    if unlabelled:
        signs = "; ".join(grouped(unlabelled, lambda on: _short(on).replace(" ", "\u00a0")))
        if len(unlabelled) < len(season.signs):
            words = tell("also seen: {signs}", signs=signs)
        else:
            words = tell("seen: {signs}", signs=signs)
        for line in wrapped(words, width - 2 * MARGIN, most=3):
            pen.text("sign-text", MARGIN, y + 12, line)
            y += ROW
    return y + (4 if alone else 14)


def _draw_heading(pen: Pen, season: Season, width: float, y: float) -> float:
    room = width - 2 * MARGIN
    beside = text_width(season.name, NAME_SIZE) + 9 + text_width(season.state) <= room
    name = shortened(season.name, room, NAME_SIZE)
    pen.heading(MARGIN, y + 15, name, season.state if beside else "")
    if season.state and not beside:
        y += ROW
        pen.text("state", MARGIN, y + 16, shortened(season.state, room))
    return y + 24


def _flag_signs(labels: LabelRows, signs: Sequence[Mark], scale: Scale) -> list[Mark]:
    """Label the weightiest signs, from the right leftwards; those without room come back."""
    most = 3 if scale.width < 480 else 4
    weightiest = sorted(signs, key=lambda mark: (-mark.weight, -mark.on.toordinal()))
    for count in range(min(most, len(weightiest)), 0, -1):
        flags = [
            (scale.middle(mark.on), f"{mark.label} {_short(mark.on)}")
            for mark in weightiest[:count]
        ]
        if labels.flag_all(flags, "sign-text"):
            return weightiest[count:]
    return weightiest


def _name_mating_days(pen: Pen, season: Season, scale: Scale, today: float, axis: float) -> None:
    """Words right of the possible mating days, where the band is empty; else the key serves."""
    days = likely_days(season.mating, 0.02)
    if not days:
        return
    x = max([scale.end(days[-1])] + [scale.middle(mark.on) for mark in season.signs]) + 5
    walls = [today, *(scale.middle(on) for on in season.births)]
    if season.window:
        walls.append(scale.at(season.window[0]))
    walls += [scale.at(on) for on in likely_days(season.due, 0.1)[:1]]
    end = min((wall for wall in walls if wall > x - 4), default=scale.width)
    for words in (tell("possible mating days"), tell("possible mating"), tell("mating")):
        if x + text_width(words) < end - 3:
            pen.text("mating-text", x, axis - 7, words)
            return


def _draw_bars(pen: Pen, season: Season, scale: Scale, asof: Date, y: float) -> float:
    bars: list[tuple[float, float, list[str]]] = []
    kinds: list[tuple[str, str]] = []
    for stay in sorted(season.company, key=lambda stay: stay.first):
        end = scale.end(min(stay.last or asof, scale.last))
        names = [stay.male, *(shortened(stay.male, room) for room in (200, 150, 110, 60))]
        bars.append((scale.at(stay.first), end, names))
        kinds.append(("company", _until(COMPANY, stay.first, stay.last, male=stay.male)))
    for first, last in season.apart:
        words = _until(APART, first, last)
        ends = scale.at(first), scale.end(min(last or asof, scale.last))
        bars.append((*ends, [words, tell("apart")]))
        kinds.append(("apart", words))
    laid: list[LaidBar] = lay_bars(bars, scale.width)
    for bar, (kind, title) in zip(laid, kinds, strict=True):
        top = y + bar.lane * LANE
        inset = 0.6 if kind == "apart" else 0
        long = max(bar.x1 - bar.x0 - 1, 2)
        pen.box(
            kind, bar.x0 + 0.5 + inset, top + inset,
            max(long - 2 * inset, 1), BAR - 2 * inset, title, rounded=True,
        )  # fmt: skip
        if bar.text_x is not None:
            pen.text("ink", bar.text_x, top + 12, bar.text)
    y += LANE * max((bar.lane + 1 for bar in laid), default=0)
    if season.more_males:
        pen.text("sign-text", MARGIN, y + 12, further_words(season.more_males))
        y += ROW
    return y


def _inside(season: Season, scale: Scale, asof: Date) -> Season:
    """What falls within the axis; stretches that reach beyond it are cut by the scale."""

    def meets(first: Date, last: Date | None) -> bool:
        return first <= scale.last and (last or asof) >= scale.first

    def part(distribution: Distribution) -> Distribution:
        kept = [(on, share) for on, share in zip(*distribution, strict=True) if scale.holds(on)]
        return [on for on, _ in kept], [share for _, share in kept]

    return replace(
        season,
        company=[stay for stay in season.company if meets(stay.first, stay.last)],
        apart=[stretch for stretch in season.apart if meets(*stretch)],
        signs=[mark for mark in season.signs if scale.holds(mark.on)],
        births=[on for on in season.births if scale.holds(on)],
        separations=[on for on in season.separations if scale.holds(on)],
        mating=part(season.mating),
        due=part(season.due),
        window=season.window if season.window and meets(*season.window) else None,
    )


def common_span(seasons: Iterable[Season], asof: Date) -> tuple[Date, Date]:
    """The first and last day of an axis on which all of these have room."""
    scale = _scale(seasons, asof, 1)
    return scale.first, scale.last


def _scale(seasons: Iterable[Season], asof: Date, width: float) -> Scale:
    """From the first company or sign to the end of the last window, today always inside."""
    days = [asof]
    for season in seasons:
        days += [stay.first for stay in season.company]
        days += [stay.last for stay in season.company if stay.last]
        days += [on for stretch in season.apart for on in stretch if on]
        days += [mark.on for mark in season.signs]
        days += [*season.births, *season.separations, *(season.window or ())]
        days += likely_days(season.due, 0.01)
        days += likely_days(season.mating, 0.01)
    first, last = min(days), max(days)
    margin = datetime.timedelta(days=max((last - first).days // 40, 3))
    first, last = first - margin, last + margin
    short = SHORTEST_DAYS - (last - first).days
    if short > 0:
        last += datetime.timedelta(days=short)
    return Scale(first, last, width)


# -- words ---------------------------------------------------------------------------------


def _short(on: Date) -> str:
    return short_day(on, on)


def _span(window: tuple[Date, Date]) -> str:
    return span_without_year(*window)


COMPANY = message("with {male} since {day}"), message("with {male} {first} to {last}")
APART = message("apart since {day}"), message("apart {first} to {last}")


def _until(said: tuple[str, str], first: Date, last: Date | None, **named: str) -> str:
    """The first of the two sentences while it goes on, the second once it is over."""
    if last is None:
        return tell(said[0], day=_short(first), **named)
    return tell(said[1], first=_short(first), last=_short(last), **named)
