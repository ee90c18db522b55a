"""One figure at every door: F, what is known and chances of traits, from plan to a pup's sheet."""

import re

import pytest
from django.urls import reverse

from breeding.animals.parents.descent import descent_of
from breeding.litters.models import Litter
from breeding.litters.services import PupFacts, record_birth
from breeding.litters.size import usual_litter
from breeding.planning.ahead.own_figures import own_figures
from breeding.planning.next_year.size import Demand
from breeding.planning.season.wishes import FIGURES
from breeding.planning.state.members import members
from breeding.program import clock
from breeding.sheets.contents.draft import draft_sheet
from breeding.traits.pairs import pair_said
from breeding.traits.reading import reading_of
from breeding.words.numbers import percent
from tests import cast
from tests.cast import words
from tests.traits.cases import look, recessive

SEASON, PAIR, TABLE = (reverse(f"planning:{one}") for one in ("season", "pair", "table"))
BORN = cast.day("2015-05-01")


@pytest.fixture
def family(as_keeper):
    """Half siblings over Rigel, of whom the mothers are unknown or known; a trait seen on some."""
    rigel = cast.male("Rigel", pure="motoro", born_on=BORN, origin="wild")
    vega = cast.female("Vega", pure="motoro", born_on=BORN)
    young = {"sire": rigel, "born_on": cast.day("2018-05-01")}
    mira = cast.female("Mira", dam=vega, **young)
    deneb = cast.male("Deneb", dam=vega, **young)
    altair = cast.male("Altair", dam=cast.female("Nunki", pure="motoro", born_on=BORN), **young)
    polaris = cast.male("Polaris", pure="motoro", born_on=BORN)
    trait = recessive()
    look(trait, vega, "shows")
    look(trait, deneb, "not")
    look(trait, polaris, "not")
    return trait, mira, (rigel, deneb, altair, polaris)


def page(client, address, **asked):
    return client.get(address, asked)


def test_every_page_says_the_same_of_a_pair_and_of_its_pup(as_keeper, family):
    trait, mira, males = family
    reading_of(trait)
    for male in males:
        asked = {
            **{"female": mira.pk, "male": male.pk, "per_female": 1, "diversity": "0"},
            **{"must": f"{mira.pk}-{male.pk}", "trait": trait.pk, "trait_least": "0.01"},
        }
        (row,) = page(as_keeper, SEASON, **asked).context["plan"].rows
        report = page(as_keeper, PAIR, female=mira.pk, male=male.pk).context["report"]
        table = page(as_keeper, TABLE, female=mira.pk, male=male.pk).context["table"]
        ((cell,),) = [one.cells for one in table.rows]
        words = report.descent
        assert row.inbreeding == float(words.inbreeding) == cell.inbreeding
        assert row.inbreeding_words == words.short
        assert f"{row.known_places:g} of 14" in row.known_words
        gained, before, after = re.findall(r"\d+\.\d\d", row.cost)
        told = re.findall(r"\d+\.\d\d", report.diversity.words)
        assert told == [gained, before, after]
        assert f"{abs(float(after) - float(before)):.2f}" == gained  # as a reader subtracts
        assert row.ends[1] == cell.could_be
        (said,) = [one for one in pair_said(male, mira, today=clock.today()) if one.trait == trait]
        before = said.young.shows, said.young.carries, said.young.neither

        pup = cast.ray("Lyra", sire=male, dam=mira, born_on=cast.day("2026-01-05"))
        own = descent_of(pup)
        assert own.inbreeding == words.inbreeding
        sheet = dict(
            draft_sheet(
                pup, program=cast.the_program(), by=None, on=cast.day("2026-02-01")
            ).facts.rows
        )
        assert percent(row.inbreeding) in sheet["Inbreeding"]
        assert f"{row.known_places:g} of 14 possible ancestors" in sheet["Ancestry"]
        neither, carries, shows = reading_of(trait).chances(pup.pk)
        assert (shows, carries, neither) == pytest.approx(before, abs=1e-9)
        if "trait" in row.trait_words:
            assert said.rows[0][1] in row.trait_words
        pup.delete()


def test_both_figures_are_those_of_the_pages(as_keeper, family):
    """Whichever the plan makes least, it shows what is on record and what it could be."""
    _, mira, males = family
    asked = {"female": mira.pk, "male": [one.pk for one in males], "per_female": 1}
    table = page(as_keeper, TABLE, female=mira.pk, male=[one.pk for one in males]).context["table"]
    cells = {(cell.female, cell.male): cell for one in table.rows for cell in one.cells}
    for figure, _ in FIGURES:
        plan = page(as_keeper, SEASON, **asked, figure=figure, diversity="0", most="").context[
            "plan"
        ]
        for row in plan.rows:
            cell = cells[row.female.animal.pk, row.male.animal.pk]
            assert (row.inbreeding, row.ends[1]) == (cell.inbreeding, cell.could_be)


def born(dam, on, *, alive, dead=0):
    """A litter of hers with so many young born alive and so many born dead."""
    pups = [PupFacts() for _ in range(alive)] + [PupFacts(alive=False) for _ in range(dead)]
    return record_birth(
        dam=dam, born_on=on, pups=pups, today=clock.today(), by=None, sure={"litter_size"}
    )


def test_every_page_says_the_same_of_how_many_young_a_litter_has(as_keeper, family):
    """Eight litters of the last five years with 2 and 3 young born alive in turn: 20 in 8 are 2.5.

    Neither the dead count, nor the litter of long ago, nor one that is still being written down.
    """
    trait, mira, (_, deneb, _, _) = family
    dams = [cast.female(f"Dam {n}", pure="motoro", born_on=BORN) for n in range(10)]
    for number, dam in enumerate(dams[:8]):
        born(dam, cast.ago(300), alive=2 + number % 2, dead=number % 3)
    born(dams[8], cast.ago(6 * 365), alive=9)
    under_way = born(dams[9], cast.ago(2), alive=1)
    Litter.objects.filter(pk=under_way.pk).update(is_under_way=True)
    size = usual_litter(clock.today())
    assert (size.mean, size.litters, size.young) == (2.5, 8, 3)
    told = "A litter has about 2.5 young: from 8 litters here, of the last 5 years."

    asked = {"female": mira.pk, "male": deneb.pk, "per_female": 1, "most": "", "diversity": "0.5"}
    wished = {"trait": trait.pk, "trait_per": "litter", "trait_least": "0.01"}
    season = page(as_keeper, SEASON, **asked, must=f"{mira.pk}-{deneb.pk}", **wished)
    plan, expected = season.context["plan"], season.context["expected"]
    assert told in words(season)
    assert expected.young == pytest.approx(2.5 * len(plan.rows))
    assert "What a litter of 3 does for the program" in words(season)
    (row,) = plan.rows
    assert "of 3 young at least one shows it" in row.trait_words
    pair = page(as_keeper, PAIR, female=mira.pk, male=deneb.pk)
    assert told in words(pair)
    assert "Of a litter of 3 at least one shows it" in words(pair)
    assert "A litter of 3 lowers" in words(pair)
    assert re.findall(r"\d+\.\d\d", row.cost) == re.findall(
        r"\d+\.\d\d", pair.context["report"].diversity.words
    )
    assert told in words(page(as_keeper, reverse("planning:what_if")))
    own = own_figures(members(), clock.today())["young_per_litter"]
    assert (own.value, own.records) == (2.5, 8)
    assert "a litter has about 2.5," in Demand(5, size.mean, 0).words
