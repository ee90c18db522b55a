"""Reads the published pedigrees and their values from fixtures/published/."""

import csv
import json
from fractions import Fraction
from pathlib import Path
from typing import Any

from pedigree import Pedigree

FOLDER = Path(__file__).resolve().parents[2] / "fixtures" / "published"
NAMES = sorted(path.stem for path in FOLDER.glob("*.csv"))


def rows(name: str) -> list[tuple[str, Any, str | None]]:
    """Rows of a pedigree file; several possible sires as a mapping of shares."""
    with (FOLDER / f"{name}.csv").open(encoding="utf-8") as file:
        table = list(csv.DictReader(line for line in file if not line.startswith("#")))
    return [(row["id"], _sire(row["sire"]), row["dam"] or None) for row in table]


def _sire(text: str) -> Any:
    if "|" not in text:
        return text or None
    pairs = (part.split(":") for part in text.split("|"))
    return {name: Fraction(share) for name, share in pairs}


def pedigree(name: str) -> Pedigree:
    return Pedigree.from_rows(rows(name))


def values(name: str) -> dict[str, Any]:
    """The published values; the file names their source."""
    content: dict[str, Any] = json.loads((FOLDER / f"{name}.json").read_text("utf-8"))
    return content
