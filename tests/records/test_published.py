"""Published pedigrees go in by the same door as any table, and their published F come out.

The values and their sources stand beside the pedigrees in fixtures/published/.
"""

import json
from fractions import Fraction

import pytest
from django.urls import reverse
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from breeding.animals import lineage
from breeding.animals.models import Animal
from breeding.program.reference.fixture_files import fixture_path
from breeding.records.incoming.examples import examples
from breeding.records.incoming.proposal import propose
from breeding.records.queries import preview_rows
from breeding.records.services import keep_draft, write_draft
from tests import cast
from tests.records.tables import INDEX, latest, problems_of, proposal_of, upload, write
from tests.tries import tries

PUBLISHED = (
    "lynch_walsh_roan_gauntlet",
    "kvl_tabular_7",
    "mrode_ch2",
    "lynch_walsh_26_8",
    "full_sib_mating",
    "backcross_noninbred",
    "own_small_population",
)


def text_of(name: str) -> str:
    return fixture_path(f"published/{name}.csv").read_text("utf-8")


def values_of(name: str) -> dict:
    return json.loads(fixture_path(f"published/{name}.json").read_text("utf-8"))


def inbreeding_on_record() -> dict[str, Fraction]:
    """F of every animal by code, as the records now have it."""
    known = lineage.current().inbreeding
    return {code: Fraction(known[pk]) for pk, code in Animal.objects.values_list("pk", "code")}


@pytest.mark.parametrize("name", PUBLISHED)
def test_a_published_pedigree_gives_its_published_inbreeding(name, as_keeper):
    expected = {code: Fraction(value) for code, value in values_of(name)["F"].items()}
    answer = upload(as_keeper, text_of(name))
    assert not problems_of(answer)
    shown = {row.code: row.inbreeding.split(",")[0] for row in answer.context["rows"]}
    assert {code: Fraction(shown[code]) for code in expected} == expected, "before writing"
    write(as_keeper)
    found = inbreeding_on_record()
    assert {code: found[code] for code in expected} == expected, "after writing"


def test_roan_gauntlet_is_shown_with_nine_sixty_fourths(as_keeper):
    # Lynch & Walsh 1998, ch. 7, after Wright 1922, Am. Nat. 56:330-338: F = 9/64, printed 0.141.
    answer = as_keeper.post(INDEX, {"example": "lynch_walsh_roan_gauntlet"}, follow=True)
    assert "9/64, 14.06 %" in answer.content.decode()
    page = write(as_keeper).content.decode()
    bull = Animal.objects.get(code="Roan Gauntlet")
    assert f'href="/animals/{bull.pk}/"' in page
    assert "9/64, 14.06 %" in page
    assert "14.06 %" in as_keeper.get(reverse("animals:detail", args=[bull.pk])).content.decode()


@pytest.mark.parametrize("key", [one.key for one in examples()])
def test_every_example_offered_goes_in_without_a_problem(key, as_keeper):
    answer = as_keeper.post(INDEX, {"example": key}, follow=True)
    assert not problems_of(answer)
    one = next(one for one in examples() if one.key == key)
    row = next(row for row in answer.context["rows"] if row.code == one.animal)
    assert row.inbreeding.split(",")[0] == one.inbreeding


def test_an_animal_that_is_sire_and_dam_is_refused_by_name(as_keeper):
    answer = upload(as_keeper, text_of("own_hybrids"))
    assert problems_of(answer) == [
        "Lines 13 and 18, sire: BC1 is named both as a sire and as a dam; an animal is one or the "
        "other (lines 13, 18)."
    ]
    write(as_keeper)
    assert not Animal.objects.exists()


def test_possible_sires_give_the_inbreeding_of_the_rule_of_henderson(as_keeper):
    # Own construction after Henderson 1988, J. Anim. Sci. 66:1614-1621: F = A(i, i) - 1.
    expected = {
        code: Fraction(value) - 1
        for pair, value in values_of("own_uncertain_paternity")["A"].items()
        for code, other in [pair.split("|")]
        if code == other
    }
    answer = upload(as_keeper, text_of("own_uncertain_paternity"))
    assert not problems_of(answer)
    shown = {row.code: Fraction(row.inbreeding.split(",")[0]) for row in answer.context["rows"]}
    assert shown == expected
    write(as_keeper)
    assert inbreeding_on_record() == expected


def test_shares_that_are_no_halves_still_give_an_exact_fraction(as_keeper):
    # Own arithmetic: two full sibs have kinship 1/4; he is the sire with 1/3.
    text = "code,sire,dam\nA,,\nB,,\nX,,\nC,A,B\nD,A,B\nE,C:1/3|X:2/3,D\n"
    answer = upload(as_keeper, text)
    rows = {row.code: row.inbreeding for row in answer.context["rows"]}
    assert rows["E"] == "1/12, 8.33 %"


def test_litter_mates_by_one_unknown_sire_are_full_siblings_before_and_after(as_keeper):
    # Own arithmetic: young of two full siblings have F = 1/4, of half siblings 1/8.
    text = (
        "code,sire,dam,sex,born\nD,,,F,2015\nA,,D,M,2018-01-01\nB,,D,F,2018-01-01\n"
        "C,,D,F,2019-01-01\nAB,A,B,,2022-01-01\nAC,A,C,,2022-01-01\n"
    )
    answer = upload(as_keeper, text)
    shown = {row.code: Fraction(row.inbreeding.split(",")[0]) for row in answer.context["rows"]}
    assert (shown["AB"], shown["AC"]) == (Fraction(1, 4), Fraction(1, 8))
    write(as_keeper)
    assert inbreeding_on_record() == shown


def test_a_table_that_goes_on_from_the_records_gets_the_same_inbreeding(as_keeper):
    lines = text_of("mrode_ch2").splitlines()
    header, rows = lines[1], lines[2:]
    for part in (rows[:3], rows[3:]):
        answer = upload(as_keeper, "\n".join([header, *part]))
        assert not problems_of(answer)
        write(as_keeper)
    assert inbreeding_on_record()["5"] == Fraction(1, 8)


class AnyOrder(TestCase):
    """The order of the rows does not matter."""

    @classmethod
    def setUpTestData(cls) -> None:
        cls.program = cast.the_program()

    @settings(max_examples=tries(8), deadline=None, suppress_health_check=list(HealthCheck))
    @given(st.data())
    def test_any_order_of_the_rows_writes_the_same_records(self, data: st.DataObject) -> None:
        name = data.draw(st.sampled_from(["mrode_ch2", "own_uncertain_paternity", "kvl_tabular_7"]))
        header, *rows = text_of(name).splitlines()[1:]
        records = []
        for order in (rows, data.draw(st.permutations(rows))):
            Animal.objects.all().update(sire=None, dam=None)
            for animal in Animal.objects.all():
                animal.possible_sires.all().delete()
            Animal.objects.all().delete()
            draft = keep_draft(by=None, file_name=name, text="\n".join([header, *order]))
            today = cast.day("2026-03-01")
            proposal = propose(draft, program=self.program, today=today)
            shown = preview_rows(proposal, proposal.rows, program=self.program)
            write_draft(
                draft,
                by=None,
                program=self.program,
                now=timezone.now(),
                today=today,
            )
            records.append(
                (
                    {row.code: (row.sex, row.inbreeding) for row in shown},
                    {
                        animal.code: (
                            animal.sex,
                            animal.sire and animal.sire.code,
                            animal.dam and animal.dam.code,
                            {(one.sire.code, one.share) for one in animal.possible_sires.all()},
                        )
                        for animal in Animal.objects.all()
                    },
                    inbreeding_on_record(),
                )
            )
        assert records[0] == records[1]


def test_the_newest_table_is_the_one_that_was_written(as_keeper):
    upload(as_keeper, text_of("mrode_ch2"))
    write(as_keeper)
    assert latest().animals.count() == 6
    assert proposal_of(upload(as_keeper, text_of("mrode_ch2"))).problems
