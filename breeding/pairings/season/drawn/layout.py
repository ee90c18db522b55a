"""Where things go on a season line: days to places, labels that never overlap; pure."""

import datetime
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

from breeding.words.months import short_month

Date = datetime.date

TEXT_SIZE = 12.0
GAP = 6.0  # between two labels
MARGIN = 6.0  # left and right of the drawing

NARROW = frozenset("iIjl.,:;'|!()[] \u00a0ftr")
BOLD = 1.13  # how much broader bold letters run
BOLD_STYLES = frozenset({"strong", "due-text"})
BROAD = frozenset("mwMWÆæŒœ@%")


def text_width(text: str, size: float = TEXT_SIZE, *, bold: bool = False) -> float:
    """Width of a line of text, in the same unit as `size`; an average on the generous side.

    The reader's font is not known here, so this leans to the broad sans-serifs: a label may get
    a little more room than it needs, not less.
    """
    return sum(map(_of_one, text), 0.0) * size * (BOLD if bold else 1.0)


@lru_cache(maxsize=4096)
def _of_one(sign: str) -> float:
    """Width of one letter, as a part of the size."""
    if unicodedata.combining(sign):
        return 0.0
    if unicodedata.east_asian_width(sign) in "WF":
        return 1.0
    if sign in NARROW:
        return 0.39
    if sign in BROAD:
        return 0.95
    return 0.72 if sign.isupper() else 0.62


def shortened(text: str, room: float, size: float = TEXT_SIZE) -> str:
    """The text, or as much of it as fits with an ellipsis; at least its first letter.

    Cost: as long as the room, however long the text.
    """
    fitting = _fitting(text, room, size)
    if fitting == len(text):
        return text
    for end in range(fitting, 0, -1):
        cut = text[:end].rstrip() + "…"
        if text_width(cut, size) <= room:
            return cut
    return text[:1] + "…"


def _fitting(text: str, room: float, size: float) -> int:
    """How many letters of a text have room."""
    width = 0.0
    for count, sign in enumerate(text):
        width += _of_one(sign)
        if width * size > room:
            return count
    return len(text)


def wrapped(words: str, room: float, most: int) -> list[str]:
    """The text in lines that fit; what is past `most` lines ends with an ellipsis."""
    lines: list[str] = []
    parts = words.split(" ")  # what a no-break space holds together stays so
    for place, word in enumerate(parts):
        if lines and text_width(f"{lines[-1]} {word}") <= room:
            lines[-1] += f" {word}"
        elif len(lines) == most:
            lines[-1] = shortened(" ".join([lines[-1], *parts[place:]]), room)
            break
        else:
            lines.append(shortened(word, room))
    return lines


@dataclass(frozen=True)
class Scale:
    """Days along a width: `at` is where a day begins, `middle` its noon."""

    first: Date
    last: Date
    width: float

    @property
    def per_day(self) -> float:
        return (self.width - 2 * MARGIN) / ((self.last - self.first).days + 1)

    def at(self, on: Date) -> float:
        return self._place((on - self.first).days)

    def middle(self, on: Date) -> float:
        return self.at(on) + self.per_day / 2

    def end(self, on: Date) -> float:
        return self._place((on - self.first).days + 1)

    def holds(self, on: Date) -> bool:
        return self.first <= on <= self.last

    def _place(self, days: int) -> float:
        """Days outside are moved to the nearest edge."""
        return MARGIN + min(max(days, 0), (self.last - self.first).days + 1) * self.per_day


@dataclass(frozen=True)
class MonthTick:
    """The beginning of a month; its name and year where there is room for them."""

    x: float
    name: str
    year: str


def months(scale: Scale) -> list[MonthTick]:
    """One tick a month; names thin out to every 2nd, 3rd, 6th or 12th, years where they change."""
    starts = []
    on = scale.first.replace(day=1)
    while on <= scale.last:
        if on >= scale.first:
            starts.append(on)
        on = (on + datetime.timedelta(days=32)).replace(day=1)
    room = scale.per_day * 30.4
    step = next((step for step in (1, 2, 3, 6, 12) if room * step >= text_width("Mmm")), 24)
    ticks, free, year = [], 0.0, 0
    for on in starts:
        x = scale.at(on)
        name = short_month(on) if (on.month - 1) % step == 0 or step > 12 else ""
        if x + text_width(name) + 4 > scale.width:
            name = ""
        said = ""
        to_january = scale.at(on.replace(year=on.year + 1, month=1)) - x
        crowded = (
            on.month > 1
            and on.year < scale.last.year
            and to_january < text_width("2026", bold=True) + GAP
        )
        if (
            on.year != year
            and x >= free
            and not crowded
            and x + text_width("2026", bold=True) + 4 < scale.width
        ):
            said, year, free = str(on.year), on.year, x + text_width("2026", bold=True) + GAP
        ticks.append(MonthTick(x, name, said))
    return ticks


@dataclass(frozen=True)
class Label:
    """Words put in a row: row 0 is the one next to the line, x0 to x1 their room."""

    text: str
    style: str
    x0: float
    x1: float
    row: int


@dataclass
class LabelRows:
    """Rows of words above the line, filled one label at a time; no two ever touch.

    A pole is the thin line from the time line up to its label; words may not cross it.
    """

    width: float
    most: int
    labels: list[Label] = field(default_factory=list)
    poles: list[tuple[float, int]] = field(default_factory=list)

    @property
    def rows(self) -> int:
        return max((label.row + 1 for label in self.labels), default=0)

    def flag(
        self,
        x: float,
        texts: Iterable[str],
        style: str,
        *,
        upwards: bool = False,
        left: bool = False,
    ) -> bool:
        """A label beside a pole at x; False when there is no room.

        Texts are tried from the first (longest) on, in every row right of the pole, then left
        of it (`left`: the other way round); `upwards` goes up all the rows on the right before
        the left is tried.
        """
        for text in texts:
            long = text_width(text, bold=style in BOLD_STYLES)
            sides = (x - 4 - long, x + 4) if left else (x + 4, x - 4 - long)
            places = [(row, x0) for row in range(self.most) for x0 in sides]
            if upwards:
                places.sort(key=lambda place: place[1] < x)
            for row, x0 in places:
                if self._open_below(x, row) and self._free(x0, x0 + long, row):
                    self.labels.append(Label(text, style, x0, x0 + long, row))
                    self.poles.append((x, row))
                    return True
        return False

    def flag_all(self, flags: Sequence[tuple[float, str]], style: str) -> bool:
        """Labels for poles from right to left, all of them in the fewest rows, or none."""
        best: LabelRows | None = None
        for upwards in (False, True):
            trial = LabelRows(self.width, self.most, list(self.labels), list(self.poles))
            if all(
                trial.flag(x, [text], style, upwards=upwards)
                for x, text in sorted(flags, reverse=True)
            ) and (best is None or trial.rows < best.rows):
                best = trial
        if best is None:
            return False
        self.labels, self.poles = best.labels, best.poles
        return True

    def near(self, left: float, right: float, texts: Iterable[str], style: str) -> bool:
        """A label over the stretch from left to right, as near its middle as there is room."""
        for text in texts:
            long = text_width(text, bold=style in BOLD_STYLES)
            wanted = (left + right - long) / 2
            reach = (right - left + long) / 2 - 2
            shifts = sorted(
                (sign * shift for shift in range(0, int(reach) + 1, 3) for sign in (1, -1)), key=abs
            )
            for row in range(self.most):
                for shift in shifts:
                    x0 = wanted + shift
                    if self._free(x0, x0 + long, row):
                        self.labels.append(Label(text, style, x0, x0 + long, row))
                        return True
        return False

    def _open_below(self, x: float, row: int) -> bool:
        """Whether a pole at x reaches the row without crossing words."""
        return not any(label.row < row and label.x0 - 2 < x < label.x1 + 2 for label in self.labels)

    def _free(self, x0: float, x1: float, row: int) -> bool:
        if x0 < 1 or x1 > self.width - 1:
            return False
        for label in self.labels:
            if label.row == row and x0 < label.x1 + GAP and label.x0 < x1 + GAP:
                return False
        return not any(up >= row and x0 - 2 < x < x1 + 2 for x, up in self.poles)


@dataclass(frozen=True)
class LaidBar:
    """A bar with its words in a lane; `text_x` is None when no words fit."""

    x0: float
    x1: float
    lane: int
    text: str
    text_x: float | None


def lay_bars(bars: Sequence[tuple[float, float, Sequence[str]]], width: float) -> list[LaidBar]:
    """Bars (from, to, words from long to short) in as few lanes as they need.

    Words go inside the bar, else right of it, else left, else into another lane; each in the
    longest form that fits. A lane below is preferred to leaving words out.
    """
    taken: list[list[tuple[float, float]]] = []
    laid = []
    for x0, x1, texts in bars:
        for lane in range(len(taken) + 1):
            if lane == len(taken):
                taken.append([])
            found = _beside(x0, x1, texts, taken[lane], width)
            if found is None and not taken[lane]:
                found = (x0, x1, "", None)
            if found is not None:
                left, right, text, text_x = found
                taken[lane].append((left, right))
                laid.append(LaidBar(x0, x1, lane, text, text_x))
                break
    return laid


def _beside(
    x0: float,
    x1: float,
    texts: Sequence[str],
    taken: Sequence[tuple[float, float]],
    width: float,
) -> tuple[float, float, str, float | None] | None:
    def free(left: float, right: float) -> bool:
        clear = all(right <= other[0] + 0.1 or left >= other[1] - 0.1 for other in taken)
        return clear and left >= 0 and right <= width

    for text in texts:
        long = text_width(text)
        if long + 8 <= x1 - x0 and free(x0, x1):
            return x0, x1, text, x0 + 5
        if free(x0, x1 + long + 8):
            return x0, x1 + long + 8, text, x1 + 4
        if free(x0 - long - 8, x1):
            return x0 - long - 8, x1, text, x0 - 4 - long
    return None
