"""The proof of origin on paper: a tagged PDF by typst, as long as the chain is."""

import tempfile
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path

from django.utils import translation

from breeding.origin.proof import Proof, Station, paper_words
from breeding.program.kinds import kind_words
from breeding.program.reference.cautions import cautions
from breeding.sheets.pdf import Paper, compiled
from breeding.words.days import long_day
from breeding.words.language import tell

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
        "language": (translation.get_language() or "en").partition("-")[0],
        "said": _said(proof, program_name, by),
        "program": program_name,
        "paper": paper,
        "title": tell("Proof of origin of {animal}", animal=proof.animal.full_name),
        "by": by,
        "on": [proof.asof.year, proof.asof.month, proof.asof.day],
        "on_words": long_day(proof.asof),
        "captivity": proof.captivity[:1].upper() + proof.captivity[1:],
        "flags": list(proof.flags),
        "known": tell(
            "Listings as known on {known_on}, {source}; see {pointer}.",
            known_on=known_on,
            source=proof.listings.source_said,
            pointer=proof.listings.pointer,
        ),
        "warning": proof.warning,
        "sentence": proof.listings.sentence_said,
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


def _said(proof: Proof, program_name: str, by: str) -> dict[str, str]:
    """What the paper says of itself, and over its parts."""
    on, animal = long_day(proof.asof), proof.animal.full_name
    return {
        "foot": tell(
            "{program}, proof of origin of {animal}. As the records stood on {day}.",
            program=program_name,
            animal=animal,
            day=on,
        ),
        "page": tell("page {page} of {pages}"),
        "printed": tell("As the records stood on {day}, printed by {person}.", day=on, person=by),
        "listed": tell("Listed species"),
        "none_listed": tell(
            "No species on the list is on record within the generations looked at. "
            "That does not say that none is there."
        ),
        "by_descent": tell("By descent"),
        "not_known": tell("What is not known"),
        "no_gaps": tell("Nothing that this page asks for is missing."),
        "no_paper": tell("no paper on record"),
        "source_codes": tell("Source codes"),
        "codes_as": tell(
            "As CITES papers use them, from memory of Resolutions Conf. 12.3 and 10.16 (Rev.); "
            "the text in force counts."
        ),
        "law": tell("The law"),
    }


def _row(one: Station) -> _Row:
    return _Row(
        name=one.animal.full_name,
        facts=tell(
            "{species}; {sex}; {origin}; born {born}; {captivity}",
            species=one.species,
            sex=one.animal.get_sex_display(),
            origin=one.origin,
            born=one.born,
            captivity=one.captivity,
        ),
        parents=tell("sire {sire}, dam {dam}", sire=one.sire, dam=one.dam),
        papers=[tell("Paper: {paper}", paper=paper_words(paper)) for paper in one.papers],
        listed=list(one.listed),
    )
