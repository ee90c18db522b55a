"""Small plots as SVG: axes with units, the raw points, and the same said in words; pure.

Every name that is handed in is escaped here; whoever puts a plot on a page may say it is safe.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape, quoteattr

from breeding.words.numbers import counted

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
        _text("label end", middle - gutter, 14, "females"),
        _text("label", middle + gutter, 14, "males, unknown"),
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
    parts.append(_text("label mid", middle, y + 14, "age in years"))
    told = "; ".join(
        f"age {label}: {counted(f, 'female')}, {counted(m, 'male')}, {u} of unknown sex"
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
        parts.append(_text("label end", WIDTH - RIGHT, bottom + 29, across))
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
    return _svg(parts, height, id, title, told)


def _told(one: Series, unit: str, as_percent: bool) -> str:
    if one.told:
        return one.told
    said = "; ".join(
        f"{int(year)}: {_number(value * 100 if as_percent else value)}"
        for year, value in one.points
    )
    return f"{one.name} in {unit}: {said}."


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
    text = f"{value:.4g}"
    return text


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
