"""Writes the SVG elements of a season line, by class or with the colours written out; pure."""

import datetime
import re
from collections.abc import Sequence
from xml.sax.saxutils import escape, quoteattr

from breeding.pairings.season.drawn.layout import MonthTick, Scale
from breeding.words.language import message

Date = datetime.date
Distribution = tuple[Sequence[Date], Sequence[float]]

BAND = 46.0  # height of the densities

# One source for both the page's style sheet and the drawing that stands alone.
STYLES: dict[str, dict[str, str]] = {
    "grid": {"stroke": "line"},
    "axis": {"stroke": "ink", "stroke-width": "1.2"},
    "text": {"fill": "soft"},
    "ink": {"fill": "ink"},
    "strong": {"fill": "ink", "font-weight": "600"},
    "name": {"fill": "ink", "font-weight": "600", "font-size": "16px", "font-family": "serif"},
    "state": {"fill": "soft", "font-style": "italic"},
    "today": {"stroke": "ink", "stroke-dasharray": "2 3"},
    "window": {"fill": "ochre-fill", "fill-opacity": ".16"},
    "due": {"fill": "ochre-fill", "fill-opacity": ".85"},
    "due-text": {"fill": "ochre", "font-weight": "600"},
    "mating": {"fill": "teal", "fill-opacity": ".8"},
    "mating-text": {
        "fill": "teal",
        "stroke": "sheet",
        "stroke-width": "3",
        "paint-order": "stroke",
    },
    "company": {"fill": "soft", "fill-opacity": ".28"},
    "apart": {"fill": "none", "stroke": "teal", "stroke-width": "1.2"},
    "parted": {"stroke": "teal", "stroke-width": "2.4"},
    "sign": {"stroke": "brick", "stroke-width": "1.6"},
    "sign-text": {"fill": "brick"},
    "born": {"stroke": "ink", "stroke-width": "2"},
    "born-dot": {"fill": "ink"},
}
PRINT_COLOURS = {
    "line": "#d9d0bf", "sheet": "#ffffff", "ink": "#22302f", "soft": "#58645f", "teal": "#0f5c5c",
    "ochre": "#8a5c06", "ochre-fill": "#c18a2b", "brick": "#9b2d1f",
}  # fmt: skip
FONTS = {"serif": 'ui-serif, Georgia, "Times New Roman", serif', "sans": "system-ui, sans-serif"}


def _css() -> str:
    rules = [
        ".season { display: block; max-width: 100%; height: auto; "
        f"font: 12px {FONTS['sans']}; font-variant-numeric: tabular-nums }}"
    ]
    for name, style in STYLES.items():
        said = "; ".join(
            f"{key}: var(--{value})"
            if value in PRINT_COLOURS
            else f"{key}: {FONTS.get(value, value)}"
            for key, value in style.items()
        )
        rules.append(f".season-{name} {{ {said} }}")
    return "\n".join(rules)


CSS = _css()
"""Rules for the page's style sheet; they use its variables, so dark mode follows by itself."""

KEY = (
    ("mating", message("possible mating days")),
    ("due", message("possible birth days")),
    ("window", message("announced window")),
    ("company", message("with a male")),
    ("apart", message("apart")),
    ("sign", message("a sign was seen")),
)
"""(style, message) of a key beside the drawing: `.season-<style>` colours the sample."""


def likely_days(distribution: Distribution, least: float) -> list[Date]:
    """The days with more than `least` of the tallest day's share."""
    days, mass = distribution
    limit = max(mass, default=0.0) * least
    return [on for on, share in zip(days, mass, strict=True) if share > limit]


# XML 1.0, section 2.2
FORBIDDEN = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")


def plain(text: str) -> str:
    """Escaped, without the characters that XML forbids."""
    return escape(FORBIDDEN.sub("", text))


class Pen:
    """Writes SVG elements, by class or with the colours written out."""

    def __init__(self, standalone: bool) -> None:
        self.standalone = standalone
        self.parts: list[str] = []

    def look(self, style: str) -> str:
        if not self.standalone:
            return f'class="season-{style}"'
        return " ".join(
            f"{key}={quoteattr(PRINT_COLOURS.get(value) or FONTS.get(value, value))}"
            for key, value in STYLES[style].items()
        )

    def line(self, style: str, x0: float, y0: float, x1: float, y1: float, title: str = "") -> None:
        ends = f'x1="{x0:.1f}" y1="{y0:.1f}" x2="{x1:.1f}" y2="{y1:.1f}"'
        self._shape(f"line {self.look(style)} {ends}", title)

    def grid(self, ticks: Sequence[MonthTick], y0: float, y1: float) -> None:
        """An upright line at each tick, all in one stroke."""
        path = "".join(f"M{tick.x:.1f} {y0:.1f}V{y1:.1f}" for tick in ticks)
        if path:
            self._shape(f'path {self.look("grid")} d="{path}"', "")

    def box(
        self, style: str, x: float, y: float, width: float, height: float,
        title: str = "", rounded: bool = False,
    ) -> None:  # fmt: skip
        corner = ' rx="4"' if rounded else ""
        size = f'x="{x:.1f}" y="{y:.1f}" width="{width:.1f}" height="{height:.1f}"{corner}'
        self._shape(f"rect {self.look(style)} {size}", title)

    def text(self, style: str, x: float, y: float, words: str) -> None:
        self.parts.append(f'<text {self.look(style)} x="{x:.1f}" y="{y:.1f}">{plain(words)}</text>')

    def density(
        self, style: str, distribution: Distribution, scale: Scale, axis: float, chance: float
    ) -> None:
        """A day each, the tallest as high as the band; the surer (`chance`), the darker."""
        days = likely_days(distribution, 0.004)
        if not days:
            return
        share = dict(zip(*distribution, strict=True))
        tall = (BAND - 4) / max(share.values())
        at, end = scale.at, scale.end
        path: list[str] = []
        if style == "due" and (days[-1] - days[0]).days + 1 == len(days) > 4:  # one hill
            path = [f"L{scale.middle(on):.1f} {axis - share[on] * tall:.1f}" for on in days]
            path = [f"M{at(days[0]):.1f} {axis:.1f}V{path[0].split()[1]}", *path]
            path.append(f"H{end(days[-1]):.1f}")
        else:
            wider = max(2.4 - scale.per_day, 0.4) / 2
            for on in days:
                path.append(f"M{at(on) - wider:.1f} {axis:.1f}V{axis - share[on] * tall:.1f}")
                path.append(f"H{end(on) + wider:.1f}V{axis:.1f}")
        dark = 0.25 + 0.75 * chance
        self.parts.append(
            f'<path {self.look(style)} opacity="{dark:.2f}" d="{"".join(path)}V{axis:.1f}"/>'
        )

    def heading(self, x: float, y: float, name: str, state: str) -> None:
        words = f"<tspan {self.look('name')}>{plain(name)}</tspan>"
        if state:
            words += f'<tspan {self.look("state")} dx="9">{plain(state)}</tspan>'
        self.parts.append(f'<text x="{x:.1f}" y="{y:.1f}">{words}</text>')

    def months(self, ticks: Sequence[MonthTick], y: float) -> float:
        """The names of the months and, under them, the years where they change."""
        self.grid(ticks, y, y + 5)
        for tick in ticks:
            if tick.name:
                self.text("text", tick.x + 2, y + 14, tick.name)
            if tick.year:
                self.text("strong", tick.x + 2, y + 28, tick.year)
        return y + 34

    def _shape(self, inside: str, title: str) -> None:
        if title:
            self.parts.append(f"<{inside}><title>{plain(title)}</title></{inside.split()[0]}>")
        else:
            self.parts.append(f"<{inside}/>")
