"""Small plots as SVG: axes with units, the raw points, and the same said in words; pure.

Every name that is handed in is escaped here; whoever puts a plot on a page may say it is safe.
"""

import datetime
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape, quoteattr

from breeding.words.days import short_day
from breeding.words.language import tell, tell_many
from breeding.words.months import short_month
from breeding.words.numbers import written

WIDTH = 340.0
LEFT, RIGHT = 46.0, 10.0
ROW = 26.0


@dataclass(frozen=True)
class Bar:
    """One row of a bar chart: its name, how long, and what stands behind it."""

    label: str
    share: float
    words: str
    style: str = "bar"


@dataclass(frozen=True)
class Series:
    """Points of a line over years: (decimal year, value), and a band where there is one.

    has_line, has_marks: whether the line and its points are drawn; a curve has no points.
    told: what is read out instead of every point.
    """

    name: str
    points: Sequence[tuple[float, float]]
    style: str = "line-a"
    band: Sequence[tuple[float, float, float]] = ()  # (year, low, high)
    has_line: bool = True
    has_marks: bool = True
    told: str = ""


def bars(rows: Sequence[Bar], *, id: str, title: str) -> str:
    """Horizontal bars, the longest as long as there is room; the words stand beside each."""
    longest = max((row.share for row in rows), default=0.0) or 1.0
    room = WIDTH - 8
    parts, y = [], 4.0
    for row in rows:
        long = max(room * row.share / longest, 1.5 if row.share else 0)
        parts.append(_text("label", 4, y + 12, f"{row.label}"))
        parts.append(_text("value end", WIDTH - 4, y + 12, row.words))
        parts.append(
            f'<rect class="plot-{row.style}" x="4" y="{y + 17:.1f}" width="{long:.1f}" '
            f'height="7" rx="2"/>'
        )
        y += ROW + 6
    told = "; ".join(f"{row.label}: {row.words}" for row in rows)
    return _svg(parts, y + 2, id, title, told)


def pyramid(rows: Sequence[tuple[str, int, int, int]], *, id: str, title: str) -> str:
    """Ages down the middle, oldest on top: females left, males right, unknown sex beside them."""
    most = max((max(f, m + u) for _, f, m, u in rows), default=0) or 1
    middle, gutter = WIDTH / 2, 44.0
    room = middle - gutter - 26
    parts = [
        _text("label end", middle - gutter, 14, tell("females")),
        _text("label", middle + gutter, 14, tell("males, unknown")),
    ]
    y = 22.0
    for label, females, males, unknown in reversed(rows):
        parts.append(_text("label mid", middle, y + 14, label))
        long = room * females / most
        x = middle - gutter
        parts.append(_box("female", x - long, y + 2, long, 16))
        parts.append(_text("value end", x - long - 4, y + 14, str(females) if females else ""))
        x = middle + gutter
        long = room * males / most
        parts.append(_box("male", x, y + 2, long, 16))
        beside = room * unknown / most
        parts.append(_box("unknown", x + long, y + 2, beside, 16))
        said = f"{males or ''}{f' + {unknown}' if unknown else ''}"
        parts.append(_text("value", x + long + beside + 4, y + 14, said))
        y += 22
    parts.append(_text("label mid", middle, y + 14, tell("age in years")))
    told = "; ".join(
        tell(
            "age {age}: {females}, {males}, {unknown} of unknown sex",
            age=label,
            females=tell_many("{number} female", "{number} females", f),
            males=tell_many("{number} male", "{number} males", m),
            unknown=u,
        )
        for label, f, m, u in rows
    )
    return _svg(parts, y + 22, id, title, told)


def over_years(
    series: Sequence[Series],
    *,
    id: str,
    title: str,
    unit: str,
    as_percent: bool = True,
    points: Sequence[tuple[float, float]] = (),
    from_zero: bool = True,
    across: str = "",
    height: float = 190.0,
) -> str:
    """Lines over years (or months) with axes; `points` are single values, drawn as dots.

    across: the unit of the axis below, where it is not years.
    """
    every = [value for one in series for _, value in one.points]
    every += [value for _, value in points]
    every += [value for one in series for _, low, high in one.band for value in (low, high)]
    years = [year for one in series for year, _ in one.points] + [year for year, _ in points]
    if not every or not years:
        return ""
    low = 0.0 if from_zero else min(every)
    high = max(every)
    step = _step(high - low)
    low = 0.0 if from_zero else step * int(low / step)
    top = low
    while top < high - 1e-12 or top == low:
        top += step
    first, last = min(years), max(years)
    if last - first < 1:
        first, last = first - 0.5, last + 0.5
    bottom = height - 30

    def x_of(year: float) -> float:
        return LEFT + (WIDTH - LEFT - RIGHT) * (year - first) / (last - first)

    def y_of(value: float) -> float:
        return bottom - (bottom - 22) * (value - low) / (top - low)

    parts = [_text("label", 4, 12, unit)]
    ticks = round((top - low) / step)
    for k in range(ticks + 1):
        value = low + k * step
        y = y_of(value)
        parts.append(f'<line class="plot-grid" x1="{LEFT}" x2="{WIDTH - RIGHT}" '
                     f'y1="{y:.1f}" y2="{y:.1f}"/>')  # fmt: skip
        said = _number(value * 100 if as_percent else value)
        parts.append(_text("label end", LEFT - 5, y + 4, said))
    parts.extend(_years(first, last, x_of, bottom))
    if across:
        parts.append(_text("label end", WIDTH - RIGHT, bottom + 33, across))
    for one in series:
        if one.band:
            up = [f"{x_of(year):.1f},{y_of(upper):.1f}" for year, _, upper in one.band]
            down = [f"{x_of(year):.1f},{y_of(lower):.1f}" for year, lower, _ in one.band]
            parts.append(
                f'<polygon class="plot-band plot-{one.style}-band" '
                f'points="{" ".join([*up, *reversed(down)])}"/>'
            )
    for year, value in points:
        parts.append(
            f'<circle class="plot-dot" cx="{x_of(year):.1f}" cy="{y_of(value):.1f}" r="2.5"/>'
        )
    for one in series:
        path = " ".join(f"{x_of(year):.1f},{y_of(value):.1f}" for year, value in one.points)
        if one.has_line:
            parts.append(f'<polyline class="plot-line plot-{one.style}" points="{path}"/>')
        for year, value in one.points if one.has_marks else ():
            parts.append(f'<circle class="plot-mark plot-{one.style}-mark" cx="{x_of(year):.1f}" '
                         f'cy="{y_of(value):.1f}" r="3"/>')  # fmt: skip
    told = " ".join(_told(one, unit, as_percent) for one in series)
    return _svg(parts, height + (8 if across else 0), id, title, told)


def _told(one: Series, unit: str, as_percent: bool) -> str:
    if one.told:
        return one.told
    said = "; ".join(
        f"{int(year)}: {_number(value * 100 if as_percent else value)}"
        for year, value in one.points
    )
    return tell("{series} in {unit}: {points}.", series=one.name, unit=unit, points=said)


def _years(first: float, last: float, x_of: Callable[[float], float], bottom: float) -> list[str]:
    span = last - first
    every = next((step for step in (1, 2, 5, 10, 20, 50) if span / step <= 6), 100)
    parts = []
    year = int(-(-first // every) * every)
    while year <= last:
        x = x_of(year)
        parts.append(f'<line class="plot-grid" x1="{x:.1f}" x2="{x:.1f}" y1="{bottom:.1f}" '
                     f'y2="{bottom + 4:.1f}"/>')  # fmt: skip
        parts.append(_text("label mid", min(max(x, 16), WIDTH - 16), bottom + 17, str(year)))
        year += every
    return parts


def _step(span: float) -> float:
    """A round step for about four lines."""
    span = span or 0.04
    size = 1e-6
    while True:
        for part in (1, 2, 5):
            if span / (size * part) <= 5:
                return size * part
        size *= 10


def _number(value: float) -> str:
    """As it is read, with the decimal mark of the reader's language."""
    return written(f"{value:.4g}")


def _box(style: str, x: float, y: float, width: float, height: float) -> str:
    return (
        f'<rect class="plot-{style}" x="{x:.1f}" y="{y:.1f}" width="{max(width, 0):.1f}" '
        f'height="{height:.1f}"/>'
    )


def _text(style: str, x: float, y: float, words: str) -> str:
    classes = " ".join(f"plot-{one}" for one in style.split())
    return f'<text class="{classes}" x="{x:.1f}" y="{y:.1f}">{escape(words)}</text>'


def _svg(parts: Sequence[str], height: float, id: str, title: str, told: str) -> str:
    ids = f"{id}-title {id}-words"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="plot" role="img" '
        f'viewBox="0 0 {WIDTH:g} {height:.0f}" aria-labelledby={quoteattr(ids)}>'
        f"<title id={quoteattr(f'{id}-title')}>{escape(title)}</title>"
        f"<desc id={quoteattr(f'{id}-words')}>{escape(told)}</desc>{''.join(parts)}</svg>"
    )


# ---------------------------------------------------------------------------------- over days

STANDING = ("up", "square")  # shapes whose day is marked through the plot as well
LANE = 13.0  # the height of a row of marks under a plot


@dataclass(frozen=True)
class DayMark:
    """Something on a day, drawn in its own row under the plot; until: the last day of a span.

    shape: "dot", "up", "down", "square" or "ring"; the row is that of its shape.
    """

    on: datetime.date
    shape: str
    words: str
    until: datetime.date | None = None


def over_days(
    points: Sequence[tuple[datetime.datetime, float]],
    *,
    id: str,
    title: str,
    unit: str,
    first: datetime.date,
    last: datetime.date,
    told: str,
    limits: tuple[float | None, float | None] = (None, None),
    marks: Sequence[DayMark] = (),
    shapes: Sequence[str] = ("dot", "ring", "up", "down", "square"),
    from_zero: bool = False,
    height: float = 150.0,
) -> str:
    """Points over days, joined, with the limits as dashed lines and marks in rows under it.

    What lies between the limits is shaded. told: what is read out instead.
    """
    rows = [shape for shape in shapes if any(mark.shape == shape for mark in marks)]
    bottom, whole = height, height + LANE * len(rows) + 26
    bounds = [value for value in limits if value is not None]
    values = [value for _, value in points] + bounds
    low, top, step = _span_of(values, from_zero=from_zero)
    start, days = first.toordinal(), max((last - first).days + 1, 1)

    def x_of(day: float) -> float:
        return LEFT + (WIDTH - LEFT - RIGHT) * (day - start) / days

    def y_of(value: float) -> float:
        return bottom - (bottom - 22) * (value - low) / (top - low)

    parts = [_text("label", 4, 12, unit)]
    for k in range(round((top - low) / step) + 1):
        y = y_of(low + k * step)
        parts.append(_rule("grid", LEFT, WIDTH - RIGHT, y, y))
        parts.append(_text("label end", LEFT - 5, y + 4, _number(low + k * step)))
    if bounds:
        least, most = (y_of(low if limits[0] is None else limits[0]),
                       y_of(top if limits[1] is None else limits[1]))  # fmt: skip
        parts.append(_box("within", LEFT, most, WIDTH - LEFT - RIGHT, least - most))
        parts += [_rule("limit", LEFT, WIDTH - RIGHT, y_of(one), y_of(one)) for one in bounds]
    parts += _day_ticks(first, last, x_of, bottom, whole)
    for mark in marks:
        if mark.shape in STANDING:
            x = x_of(mark.on.toordinal() + 0.5)
            parts.append(_rule("at", x, x, 22, bottom))
    places = [(x_of(_day_of(at)), y_of(value)) for at, value in points]
    path = " ".join(f"{x:.1f},{y:.1f}" for x, y in places)
    parts.append(f'<polyline class="plot-line plot-line-a plot-thin" points="{path}"/>')
    parts += [f'<circle class="plot-line-a-mark" cx="{x:.1f}" cy="{y:.1f}" r="2.4"/>'
              for x, y in places]  # fmt: skip
    for number, shape in enumerate(rows):
        y = bottom + LANE * (number + 0.5) + 2
        parts += [_day_mark(mark, x_of, y) for mark in marks if mark.shape == shape]
    return _svg(parts, whole, id, title, told)


def _day_of(at: datetime.datetime) -> float:
    return at.toordinal() + (at.hour + at.minute / 60) / 24


def _span_of(values: Sequence[float], *, from_zero: bool) -> tuple[float, float, float]:
    """From where to where an axis goes in which steps; there may be nothing to show."""
    least, most = min(values, default=0.0), max(values, default=1.0)
    least = min(0.0, least) if from_zero else least
    if most - least < 1e-9:
        most = least + 1
    step = _step(most - least)
    low = step * math.floor(least / step + 1e-9)
    top = step * math.ceil(most / step - 1e-9)
    return low, top, step


def _rule(style: str, x1: float, x2: float, y1: float, y2: float) -> str:
    return f'<line class="plot-{style}" x1="{x1:.1f}" x2="{x2:.1f}" y1="{y1:.1f}" y2="{y2:.1f}"/>'


def _day_ticks(
    first: datetime.date,
    last: datetime.date,
    x_of: Callable[[float], float],
    bottom: float,
    whole: float,
) -> list[str]:
    """The first of months, or days some apart where the span is short; at most six or so."""
    days = (last - first).days + 1
    if days > 75:
        every = next(step for step in (1, 2, 3, 6, 12, 24, 60, 120, 1200) if days / 30 / step <= 7)
        month = first.year * 12 + first.month
        month += -(month - 1) % every
        ticks = []
        while (on := datetime.date((month - 1) // 12, (month - 1) % 12 + 1, 1)) <= last:
            if on >= first:
                ticks.append((on, short_month(on) if on.month != 1 else f"{on.year}"))
            month += every
    else:
        every = next(step for step in (1, 2, 5, 7, 14) if days / step <= 6.5)
        ticks = [
            (on, short_day(on, on))
            for on in (first + datetime.timedelta(days=k) for k in range(0, days, every))
        ]
    parts = [_rule("axis", LEFT, WIDTH - RIGHT, bottom, bottom)]
    for on, words in ticks:
        x = x_of(on.toordinal())
        parts.append(_rule("grid", x, x, 22, bottom + 4))
        parts.append(_text("label mid", min(max(x, LEFT), WIDTH - 18), whole - 8, words))
    return parts


def _day_mark(mark: DayMark, x_of: Callable[[float], float], y: float) -> str:
    x = x_of(mark.on.toordinal() + 0.5)
    said = f"<title>{escape(mark.words)}</title>"
    if mark.until is not None and mark.until > mark.on:
        long = x_of(mark.until.toordinal() + 1) - x
        shape = f'<rect x="{x:.1f}" y="{y - 3:.1f}" width="{max(long, 4):.1f}" height="6"/>'
    elif mark.shape in ("up", "down"):
        tip = -5 if mark.shape == "up" else 5
        shape = f'<path d="M{x - 4.5:.1f} {y - tip * 0.7:.1f}h9L{x:.1f} {y + tip * 0.9:.1f}z"/>'
    elif mark.shape == "square":
        shape = f'<rect x="{x - 4:.1f}" y="{y - 4:.1f}" width="8" height="8"/>'
    else:
        shape = f'<circle cx="{x:.1f}" cy="{y:.1f}" r="4"/>'
    return f'<g class="plot-on plot-on-{mark.shape}">{said}{shape}</g>'


def key_mark(shape: str) -> str:
    """One mark by itself, for the key beside its words."""
    drawn = _day_mark(DayMark(datetime.date(2000, 1, 1), shape, ""), lambda day: 7.0, 7.0)
    bare = drawn.replace("<title></title>", "")
    return f'<svg class="plot-sign" viewBox="0 0 14 14" aria-hidden="true">{bare}</svg>'
