"""Cards on sheets of labels: a tagged PDF by typst, each with its name and its code."""

import datetime
import tempfile
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from urllib.parse import urlsplit

from django.utils import translation

from breeding.finding.cards.card import Card
from breeding.finding.cards.grids import Grid
from breeding.sheets.pdf import compiled
from breeding.words.language import tell

TEMPLATE = Path(__file__).parent.parent / "typst" / "cards.typ"


def render_cards(
    cards: Sequence[Card],
    grid: Grid,
    *,
    first: int = 1,
    base: str = "",
    program_name: str,
    on: datetime.date,
    with_lines: bool = True,
) -> bytes:
    """Sheets of cards; the first stands at a place of the first sheet, counted along the rows.

    Without a base there are no codes. Every word goes to the template as text.
    """
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        (place / TEMPLATE.name).write_bytes(TEMPLATE.read_bytes())
        shown = []
        for number, card in enumerate(cards):
            code = ""
            if base:
                code = f"code-{number}.svg"
                import segno  # not loaded where no code is drawn

                segno.make(base.rstrip("/") + card.path, error="m", micro=False).save(
                    str(place / code), border=0, svgclass=None, lineclass=None
                )
            alt = tell("Code that opens the page of {name}", name=card.name)
            shown.append({**asdict(card), "code": code, "alt": alt})
        facts = {
            "cards": shown,
            "first": first - 1,
            "grid": {**asdict(grid), "is_small": grid.is_small},
            "lines": with_lines,
            "host": urlsplit(base).netloc,
            "title": tell("Cards of {program}", program=program_name),
            "program": program_name,
            "language": (translation.get_language() or "en").partition("-")[0],
            "on": [on.year, on.month, on.day],
        }
        moment = datetime.datetime.combine(on, datetime.time.min, datetime.UTC)
        return compiled(facts, moment, place, TEMPLATE.name)[1]
