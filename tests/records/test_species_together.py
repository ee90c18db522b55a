"""Species brought in together are what the page makes of one after the other."""

from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from breeding.animals.models import Profile, ProfileFigure, Species
from breeding.animals.species.adding import add_species, blank_start, start_from
from breeding.animals.species.figures import Typed
from breeding.animals.species.rules import RULES
from breeding.program.problems.doubts import Doubt
from breeding.records.incoming.kinds.kind import Keeping
from breeding.records.incoming.kinds.table import KINDS
from tests import cast
from tests.records.one_row import one_by_one
from tests.records.test_all_together import NOW, TODAY, WRITES, become, maybe
from tests.tries import of_few_rows

pytestmark = pytest.mark.django_db

WRITES["species"] = (Profile, Species, ProfileFigure)
NOTHING: dict[str, Any] = dict.fromkeys(meaning.key for meaning in KINDS["species"].meanings)


def species(facts: Any, keeping: Any) -> Species:
    certainty, source = facts["certainty"] or "A", facts["source"] or "assumption"
    return add_species(
        by=keeping.by,
        start=blank_start() if facts["like"] is None else start_from(facts["like"]),
        typed={
            name: Typed(float(facts[name]), certainty, source)
            for name in RULES
            if facts[name] is not None
        },
        length_unit=keeping.program.length_unit,
        sure=keeping.sure,
        accepted_name=facts["accepted_name"],
        trade_name=facts["trade_name"] or "",
        law_note=facts["law_note"] or "",
    )


@pytest.fixture
def keeping(owner) -> Keeping:
    return Keeping(owner, cast.program_now(), NOW, TODAY, "here")


def compared(rows: list[Any], keeping: Keeping) -> Any:
    with timezone.override("Europe/London"):
        alone = become("species", rows, one_by_one(species), keeping)
        assert become("species", rows, KINDS["species"].keep_all, keeping) == alone
    return alone


@given(data=st.data())
@of_few_rows(8)
def test_many_species_are_one_after_the_other(keeping, data):
    facts = st.fixed_dictionaries(
        {
            **dict.fromkeys(RULES, maybe()),
            "accepted_name": st.sampled_from(
                [
                    *("Potamotrygon novae", " potamotrygon  NOVAE", "Potamotrygon motoro"),
                    *("Lanternus minor", "Lanternus maior", "Lanternus", "Ænigma", "Æ", "x" * 90),
                ]
            ),
            "trade_name": maybe("Lantern", " pale  one "),
            "like": maybe(*Species.objects.order_by("pk")[:2]),
            "law_note": maybe(" none "),
            "mature_female_days": maybe(30, 900, 4000, 6000),
            "breed_female_days": maybe(2000),
            "growth_birth_female_mm": maybe(Decimal("90.5")),
            "scan_sensitivity": maybe(Fraction(1, 4)),
            "certainty": maybe("P", "A"),
            "source": maybe("Jo's book", "x" * 310),
        }
    )
    rows = data.draw(st.lists(facts, min_size=1, max_size=7))
    told, *_ = compared(rows, keeping)
    asked = [Doubt(sentence) for _, doubts, _ in told for sentence, _ in doubts]
    marks = frozenset(one.mark for one in asked)
    sure = Keeping(keeping.by, keeping.program, NOW, TODAY, "here", marks)
    again, *_ = become("species", rows, KINDS["species"].keep_all, sure)
    assert again == [(is_kept, [], refused) for is_kept, _, refused in told]


def test_a_species_is_asked_of_its_relatives_in_the_rows_before_it(keeping):
    names = ("Lanternus minor", "Lanternus maior", "lanternus MINOR")
    rows = [
        {**NOTHING, "accepted_name": name, "mature_female_days": days, "breed_female_days": 4000}
        for name, days in zip(names, (900, 90, 900), strict=True)
    ]
    told, (profiles, _, figures), *_ = compared(rows, keeping)
    assert [is_kept for is_kept, *_ in told] == [True, True, False]
    sentences = [sentence for sentence, _ in told[1][1]]
    assert any(
        "90 days is far from the 900 days of the other Lanternus" in one for one in sentences
    )
    assert told[2][2] == {
        "accepted_name": ["“Lanternus minor” is on record already; choose another name."]
    }
    assert [one["key"] for one in profiles] == ["lanternus-minor", "lanternus-maior"]
    assert len(figures) == 2 * len(blank_start().figures)
