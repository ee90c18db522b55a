"""A family tree as SVG: portraits in frames of the sex, words below, sire left, dam right."""

import textwrap
from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from django.utils.html import escape

from breeding.animals.pictures.family_layout import FamilyLayout, Missing, Union
from breeding.words.language import tell
from breeding.words.numbers import percent
from pedigree import Card


@dataclass(frozen=True)
class Measures:
    """Sizes of a drawing, in pixels on a page and in points on paper."""

    column: float = 96
    picture: float = 56
    name: float = 14
    words: float = 13
    line: float = 16
    gap: float = 26  # between the words of a row and the pictures below
    letters: int = 10  # in a line below a picture
    on_screen: float = 1  # pixels for each of these
    kin: float = 2.2  # from the middle to each of a double line
    ink: str = "currentColor"
    soft: str = "var(--soft, #4f5855)"
    sand: str = "#e6d6b3"


PAGE = Measures()
PAPER = Measures(
    column=60,
    picture=38,
    name=8.5,
    words=8.5,
    line=9.6,
    gap=13,
    letters=12,
    on_screen=1.6,
    kin=1.6,
    ink="#161d1c",
    soft="#4f5855",
    sand="#f1e8d6",
)


@dataclass(frozen=True)
class Box:
    """A node as it is drawn: the middle of its picture."""

    x: float
    y: float
    half: float


class FamilyDrawing:
    """The drawing of one layout; `pictures` are addresses or embedded pictures by animal."""

    def __init__(
        self,
        layout: FamilyLayout,
        *,
        cards: Mapping[Hashable, Card],
        pictures: Mapping[Hashable, str],
        shares: Mapping[Hashable, Fraction] | None = None,
        measures: Measures = PAGE,
        prefix: str = "tree",
    ) -> None:
        self.layout, self.cards, self.pictures = layout, cards, pictures
        self.shares = shares or {}
        self.m, self.prefix = measures, prefix
        self.lines = {one: self._lines(one) for one in layout.places}
        self.boxes = self._boxes()

    # ------------------------------------------------------------------------------- measures

    def _card(self, one: Hashable) -> Card:
        return (
            Card((tell("unknown"),))
            if isinstance(one, Missing)
            else self.cards.get(one) or Card((str(one),))
        )

    def _lines(self, one: Hashable) -> list[tuple[str, bool]]:
        """Words below a picture, each with whether it is the name."""
        card, letters = self._card(one), self.m.letters
        names = [part for line in card.lines for part in textwrap.wrap(line, letters)][:2]
        details = [part for line in card.details for part in textwrap.wrap(line, letters + 2)]
        if one in self.shares:
            details.insert(0, tell("possible, {share}", share=percent(self.shares[one])))
        known = not isinstance(one, Missing)
        return [*((words, known) for words in names), *((words, False) for words in details[:2])]

    def _heights(self) -> list[float]:
        heights = []
        for row in range(self.layout.rows):
            most = max(
                len(self.lines[one])
                for one, place in self.layout.places.items()
                if place.row == row
            )
            heights.append(self.m.picture + 3 + most * self.m.line)
        return heights

    def _boxes(self) -> dict[Hashable, Box]:
        heights = self._heights()
        half = self.m.picture / 2
        tops, top = {}, 1.0
        for row in reversed(range(len(heights))):
            tops[row] = top
            top += heights[row] + self.m.gap
        self.height = top - self.m.gap + 1
        self.width = self.layout.columns * self.m.column
        return {
            one: Box(place.column * self.m.column, tops[place.row] + half, half)
            for one, place in self.layout.places.items()
        }

    # -------------------------------------------------------------------------------- drawing

    def svg(self, title: str) -> str:
        """The whole as one element, with its title for those who do not see it."""
        wide = f"{self.width * self.m.on_screen:.0f}px"
        links = any(self._card(one).address for one in self.boxes)
        head = (
            f'<svg xmlns="http://www.w3.org/2000/svg" class="family-drawing" '
            f'viewBox="0 0 {self.width:.4g} {self.height:.4g}" '
            f'style="--own-width:{wide};width:100%;max-width:{wide};height:auto" '
            f'role="{"group" if links else "img"}" aria-labelledby="{self.prefix}-title">'
            f'<title id="{self.prefix}-title">{escape(title)}</title>'
        )
        lines = "".join(self._union(union) for union in self.layout.unions)
        nodes = "".join(self._node(one) for one in self.boxes)
        ink = f'stroke="{self.m.ink}" stroke-width="1"'
        return f'{head}<g class="lines" fill="none" {ink}>{lines}</g>{nodes}</svg>'

    def _union(self, union: Union) -> str:
        left, right = self.boxes[union.left], self.boxes[union.right]
        dashed = "" if union.is_certain else ' stroke-dasharray="4 3"'
        apart = (-self.m.kin, self.m.kin) if union.is_kin else (0.0,)
        kin = ' class="kin"' if union.is_kin else ""
        drawn = "".join(self._between(union, left, right, away) for away in apart)
        lines = f'<path{kin}{dashed} d="{drawn}" />'
        if not union.is_certain and self._has_further(union):
            return lines
        return lines + self._descent(union, (left.x + right.x) / 2, max(left.y, right.y))

    def _between(self, union: Union, left: Box, right: Box, away: float) -> str:
        """A line between the two, beside the younger; the older one's comes down to it."""
        y = max(left.y, right.y) + away
        if left.y < right.y:
            foot = self._foot(union.left)
            return f"M{left.x - away:.1f} {foot:.1f}V{y:.1f}H{right.x - right.half:.1f}"
        start = f"M{left.x + left.half:.1f} {y:.1f}"
        if right.y < left.y:
            return f"{start}H{right.x + away:.1f}V{self._foot(union.right):.1f}"
        return f"{start}H{right.x - right.half:.1f}"

    def _foot(self, one: Hashable) -> float:
        """Where a line down from an animal begins: below its words."""
        box = self.boxes[one]
        return box.y + box.half + 3 + len(self.lines[one]) * self.m.line

    def _has_further(self, union: Union) -> bool:
        """Whether another line of the same young, further right, carries the way down to them."""
        return any(
            one.young == union.young and one.left == union.right for one in self.layout.unions
        )

    def _descent(self, union: Union, middle: float, y: float) -> str:
        """From between the two down to all of their young."""
        young = [self.boxes[one] for one in union.young]
        paths = []
        for one in young:
            bend = one.y - one.half - self.m.gap / 2.4
            top = f"V{one.y - one.half:.1f}"
            if abs(one.x - middle) < 0.6:
                paths.append(f"M{middle:.1f} {y:.1f}{top}")
            else:
                paths.append(f"M{middle:.1f} {y:.1f}V{bend:.1f}H{one.x:.1f}{top}")
        return f'<path d="{"".join(paths)}" />'

    def _node(self, one: Hashable) -> str:
        card, box = self._card(one), self.boxes[one]
        unknown = isinstance(one, Missing)
        body = self._frame(one, card, box) + self._words(one, box)
        kind = "unknown" if unknown else card.sex or "sex-unknown"
        if card.address:
            words = escape(card.words)
            body = f'<a href="{escape(card.address)}" aria-label="{words}">{body}</a>'
        return f'<g class="animal {kind}">{body}</g>'

    def _frame(self, one: Hashable, card: Card, box: Box) -> str:
        """Square male, circle female, diamond unknown; dashed where nobody is on record."""
        picture = self.pictures.get(one, "")
        unknown = isinstance(one, Missing)
        half = box.half * (0.72 if unknown else 1)
        shape = self._shape(card.sex, box, half)
        fill = "none" if unknown else self.m.sand
        line = f'stroke="{self.m.soft if unknown else self.m.ink}"'
        if unknown:
            mark = self._text(box.x, box.y + self.m.name * 0.36, "?", self.m.soft, self.m.name)
            return f'<{shape} fill="none" {line} stroke-dasharray="3 3" />{mark}'
        body = f'<{shape} fill="{fill}" stroke="none" />'
        if picture:
            name = f"{self.prefix}-{len(self.boxes)}-{list(self.boxes).index(one)}"
            body += (
                f'<clipPath id="{name}"><{shape} /></clipPath>'
                f'<image href="{escape(picture)}" x="{box.x - half:.1f}" y="{box.y - half:.1f}" '
                f'width="{2 * half:.1f}" height="{2 * half:.1f}" '
                f'preserveAspectRatio="xMidYMid slice" clip-path="url(#{name})" />'
            )
        width = 2 if self.layout.places[one].row == 0 else 1.2
        return f'{body}<{shape} class="frame" fill="none" {line} stroke-width="{width}" />'

    def _shape(self, sex: str | None, box: Box, half: float) -> str:
        x, y = box.x, box.y
        if sex == "female":
            return f'circle cx="{x:.1f}" cy="{y:.1f}" r="{half:.1f}"'
        if sex == "male":
            side = 2 * half
            place = f'x="{x - half:.1f}" y="{y - half:.1f}"'
            return f'rect {place} width="{side:.1f}" height="{side:.1f}" rx="{half / 9:.1f}"'
        points = f"{x},{y - half:.1f} {x + half:.1f},{y} {x},{y + half:.1f} {x - half:.1f},{y}"
        return f'polygon points="{points}"'

    def _words(self, one: Hashable, box: Box) -> str:
        top = box.y + box.half + 1
        drawn = []
        for number, (words, is_name) in enumerate(self.lines[one], start=1):
            size = self.m.name if is_name else self.m.words
            colour = self.m.ink if is_name else self.m.soft
            y = top + number * self.m.line - 2
            drawn.append(self._text(box.x, y, words, colour, size, bold=is_name))
        return " ".join(drawn)  # read aloud, they are words of their own

    def _text(
        self, x: float, y: float, words: str, colour: str, size: float, *, bold: bool = False
    ) -> str:
        weight = ' font-weight="600"' if bold else ""
        return (
            f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="middle" font-size="{size:g}"{weight} '
            f'font-family="Georgia, serif" fill="{colour}">{escape(words)}</text>'
        )
