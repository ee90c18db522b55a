"""Sheets and proofs of origin before a validator of PDF/UA-1 that knows nothing of this program.

`pdfua` checks 16 of the 106 rules of the Matterhorn Protocol that a machine can check; the
typesetter checks its own output against PDF/UA-1 (ISO 14289-1) while it writes.
"""

import pdfua
import pypdf
import pytest

from breeding.origin.pdf import render_origin
from breeding.origin.proof import proof_of
from breeding.sheets.pdf import render_pdf
from tests import cast
from tests.sheets.test_pdf import ALONE, FACTS, PICTURES

pytestmark = pytest.mark.one_database("typesetting of facts that are read already")

PAPERS = ["a4", "us-letter"]
# The validator's own rule on heading levels breaks off at tables with header cells;
# tests/buyers/test_sheet_pdf.py looks at the levels instead.
BREAKS_OFF = "UA-14-001"


def findings(path):
    """What the validator says against a file, by rule; a rule that did not run is a finding."""
    report = pdfua.validate(str(path))
    assert len(report.outcomes) == 12
    return {
        outcome.rule_id: [one.message for one in outcome.findings] or outcome.skipped_reason
        for outcome in report.outcomes
        if outcome.findings or (outcome.skipped_reason and outcome.rule_id != BREAKS_OFF)
    }


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("facts", [FACTS, ALONE], ids=["with pictures", "nothing known"])
def test_a_sheet_has_nothing_against_it(tmp_path, facts, paper):
    place = tmp_path / "sheet.pdf"
    place.write_bytes(render_pdf(facts, PICTURES if facts is FACTS else {}, paper=paper))
    assert findings(place) == {}


@pytest.mark.django_db
@pytest.mark.parametrize("paper", PAPERS)
def test_a_proof_of_origin_has_nothing_against_it(tmp_path, owner, paper):
    dam = cast.female("Vega", pure="leopoldi", origin="wild")
    proof = proof_of(cast.ray("Lyra", dam=dam), asof=cast.day("2026-11-25"))
    place = tmp_path / "origin.pdf"
    place.write_bytes(render_origin(proof, "Lantern Street Rays", by="Jo", paper=paper))
    assert findings(place) == {}


def test_a_file_without_tags_and_language_is_found_out(tmp_path):
    whole, bare = tmp_path / "whole.pdf", tmp_path / "bare.pdf"
    whole.write_bytes(render_pdf(FACTS, PICTURES))
    writer = pypdf.PdfWriter(clone_from=whole)
    del writer._root_object["/StructTreeRoot"], writer._root_object["/Lang"]
    writer.write(bare)
    assert {"UA-01-005", "UA-06-001"} <= set(findings(bare))
