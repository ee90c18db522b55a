"""The proof of origin on paper: a tagged PDF by typst, as long as the chain is."""

import tempfile
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path

from breeding.origin.proof import Proof, Station, paper_words
from breeding.program.cautions import cautions
from breeding.program.kinds import kind_words
from breeding.sheets.pdf import Paper, compiled
from breeding.words.days import long_day

TEMPLATE = Path(__file__).with_name("typst") / "origin.typ"


@dataclass(frozen=True)
class _Row:
    name: str
    facts: str
    parents: str
    papers: list[str]
    listed: list[str]


def render_origin(proof: Proof, program_name: str, *, by: str, paper: Paper = "a4") -> bytes:
    """Every word goes to the template as text, so no name can act as markup."""
    law = cautions(kind_words())["law"]
    known_on = long_day(proof.listings.as_known_on)
    facts = {
        "program": program_name,
        "paper": paper,
        "title": f"Proof of origin of {proof.animal.full_name}",
        "by": by,
        "on": [proof.asof.year, proof.asof.month, proof.asof.day],
        "on_words": long_day(proof.asof),
        "captivity": proof.captivity[:1].upper() + proof.captivity[1:],
        "flags": list(proof.flags),
        "known": f"Listings as known on {known_on}, {proof.listings.source}; "
        f"see {proof.listings.pointer}.",
        "warning": proof.warning,
        "sentence": proof.listings.sentence,
        "by_descent": [list(row) for row in proof.by_descent],
        "gaps": list(proof.gaps),
        "law": law.short,
        "meanings": [f"{code}: {words}" for code, words in proof.source_meanings],
        "generations": [
            {"heading": heading, "rows": [asdict(_row(one)) for one in rows]}
            for heading, rows in proof.generations
        ],
    }
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        (place / TEMPLATE.name).write_bytes(TEMPLATE.read_bytes())
        moment = datetime.combine(proof.asof, datetime.min.time(), UTC)
        return compiled(facts, moment, place, TEMPLATE.name)[1]


def _row(one: Station) -> _Row:
    return _Row(
        name=one.animal.full_name,
        facts=f"{one.species}; {one.animal.get_sex_display()}; {one.origin}; born {one.born}; "
        f"{one.captivity}",
        parents=f"sire {one.sire}, dam {one.dam}",
        papers=[paper_words(paper) for paper in one.papers],
        listed=list(one.listed),
    )
