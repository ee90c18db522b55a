"""Figures of a species on screen: allowed ranges, sources, and what they were before."""

import re

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from breeding.animals.models import Profile, ProfileFigure
from breeding.animals.species.figures import (
    RULES,
    Typed,
    change_figures,
    changes_of,
    problems_with,
    rule_of,
)
from breeding.pairings.season.reading import season_of
from breeding.pairings.species_file import read_species_file
from breeding.program.queries import the_program
from tests import cast
from tests.cast import words

pytestmark = pytest.mark.django_db
SPECIES = reverse("animals:species")


@pytest.fixture
def motoro(owner):
    return Profile.objects.get(key="motoro")


def page_of(profile):
    return reverse("animals:figures", args=[profile.pk])


def sent(profile, unit="cm", **changes):
    """The whole form as the page shows it, with some fields typed anew."""
    typed = {}
    for figure in profile.figures.all():
        typed |= {
            f"{figure.name}_value": rule_of(figure.name).shown(figure.value, unit),
            f"{figure.name}_certainty": figure.certainty,
            f"{figure.name}_source": figure.source,
        }
    return typed | changes


def value(profile, name):
    return profile.figures.get(name=name).value


def test_every_figure_of_the_species_file_has_a_rule_and_keeps_it():
    content = read_species_file()
    for profile in content["profiles"]:
        for name, figure in (content["for_every_profile"] | profile["figures"]).items():
            assert RULES[name].least <= figure["value"] <= RULES[name].most, name
            assert figure["source"]


def test_a_changed_figure_is_used_at_once_and_its_old_value_stays_readable(as_keeper, motoro):
    mira = cast.female("Mira", pure="motoro")
    typed = sent(
        motoro,
        gestation_mean_days_value="113",
        gestation_mean_days_certainty="K",
        gestation_mean_days_source="usual here at 28 C, own book",
    )
    answer = as_keeper.post(page_of(motoro), typed)
    assert answer.url == f"{SPECIES}#motoro"
    season = season_of(mira, the_program(), asof=cast.day("2026-06-01"))
    assert season.prior.gestation_mean_days == 113
    page = words(as_keeper.get(page_of(motoro)))
    assert "value 110 days to 113 days" in page
    assert "Sam" in page
    assert "own book" in words(as_keeper.get(SPECIES))
    assert value(Profile.objects.get(key="leopoldi"), "gestation_mean_days") == 110


def test_what_is_not_touched_stays_exact_and_leaves_no_trace(as_keeper, motoro):
    as_keeper.post(page_of(motoro), sent(motoro))
    assert value(motoro, "base_daily") == pytest.approx(1 / 60, abs=1e-15)
    assert changes_of(motoro, length_unit="cm") == []


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        (
            "gestation_mean_days",
            "5",
            "5 days is not possible here; allowed is from 20 to 730",
        ),
        ("gestation_sd_days", "0", "allowed is from 1 to 120 days."),
        ("base_daily", "-0.1", "-0.1 % is not possible here; allowed is from 0 to 100 %."),
        ("scan_sensitivity", "100", "100 % is not possible here; allowed is from 1 to 99.9 %."),
        ("scan_sensitivity", "2", " % together must be at least 100 %, else a scan"),
        ("sperm_kept_days", "30.5", "allowed is a whole number from 0 to 1000 days."),
        ("mature_male_mm", "0.9", "0.9 cm is not possible here; allowed is from 1 to 300 cm."),
        ("mature_male_mm", "9" * 40, "is not possible here; allowed is from 1 to 300 cm."),
        ("leave_least_days", "60", "60 days is more than “Young leave better from”, 56 days."),
        ("mature_male_mm", "1e308", "“1e308” is not possible for"),
        ("gestation_mean_days", "nan", "“nan” is not possible for"),
        ("gestation_mean_days", "soon", "“soon” is not possible for"),
    ],
)
def test_a_figure_out_of_range_is_refused_by_name(as_keeper, motoro, field, typed, said):
    before = value(motoro, field)
    page = words(as_keeper.post(page_of(motoro), sent(motoro, **{f"{field}_value": typed})))
    assert said in page
    assert value(motoro, field) == before


@pytest.mark.parametrize("unit", ["cm", "in"])
def test_no_figure_takes_what_a_column_of_whole_numbers_cannot_hold(unit):
    far = {
        name: Typed(rule.stored(2**31, unit), ProfileFigure.Certainty.ASSUMPTION, "")
        for name, rule in RULES.items()
    }
    assert set(problems_with(far, unit)) == set(RULES)


@pytest.mark.parametrize("unit", ["cm", "in"])
def test_figures_sent_back_as_the_page_shows_them_stay_exactly_the_same(as_keeper, motoro, unit):
    """Every millimetre from 10 to 3000 would: one shown in inches is told from the next."""
    cast.the_program(length_unit=unit)
    motoro.figures.filter(name="mature_male_mm").update(value=333)
    motoro.figures.filter(name="scan_sensitivity").update(value=2 / 3)
    before = list(motoro.figures.order_by("pk").values())
    page = as_keeper.get(page_of(motoro)).content.decode()
    shown = dict(re.findall(r'name="(\w+_value)" value="([^"]*)"', page))
    assert len(shown) == len(before)
    assert f"Value in {unit}" in page
    answer = as_keeper.post(page_of(motoro), sent(motoro, unit) | shown, follow=True)
    assert "No figure of" in words(answer)
    assert list(motoro.figures.order_by("pk").values()) == before
    rule = RULES["mature_male_mm"]
    for millimetres in range(10, 3001):
        assert rule.stored(rule.shown(millimetres, unit), unit) == millimetres


@pytest.mark.parametrize(
    ("unit", "typed", "stored", "shown"),
    [("cm", "25.5", 255, "25.5 cm"), ("in", "10", 254, "10 in"), ("in", "10.1", 257, "10.1181 in")],
)
def test_a_length_is_typed_in_the_programs_unit(as_keeper, motoro, unit, typed, stored, shown):
    """An inch is 25.4 mm (exact since 1959): 10.1 in are 256.54 mm, kept as 257."""
    cast.the_program(length_unit=unit)
    answer = as_keeper.post(
        page_of(motoro), sent(motoro, unit, mature_female_mm_value=typed), follow=True
    )
    assert value(motoro, "mature_female_mm") == stored
    assert shown in words(answer)
    assert f"to {shown}" in words(as_keeper.get(page_of(motoro)))
    assert " mm" not in words(as_keeper.get(page_of(motoro)))


def test_a_length_out_of_range_is_told_in_the_programs_unit(as_keeper, motoro):
    cast.the_program(length_unit="in")
    typed = sent(motoro, "in", mature_male_mm_value="0.3")
    page = words(as_keeper.post(page_of(motoro), typed))
    assert "0.3 in is not possible here; allowed is from 0.3937 to 118.11 in." in page


def test_a_chance_is_typed_in_per_cent_and_kept_as_a_share(as_keeper, motoro):
    as_keeper.post(page_of(motoro), sent(motoro, scan_sensitivity_value="91.7"))
    assert value(motoro, "scan_sensitivity") == 0.917
    assert "to 91.7 %" in words(as_keeper.get(page_of(motoro)))
    assert "91.7 %" in words(as_keeper.get(SPECIES))


def test_a_published_figure_needs_its_source(as_keeper, motoro):
    typed = sent(motoro, base_daily_certainty="P", base_daily_source="")
    page = words(as_keeper.post(page_of(motoro), typed))
    assert "Say where a published figure or a keeper" in page


def test_a_figure_without_a_source_is_an_assumption(motoro):
    change_figures(motoro, {"base_daily": Typed(0.02, "A", " ")}, length_unit="cm")
    assert motoro.figures.get(name="base_daily").source == "assumption"
    with pytest.raises(ValidationError, match="no figure called wing_span"):
        change_figures(motoro, {"wing_span": Typed(1, "A", "")}, length_unit="cm")


def test_figures_are_for_keepers_and_owners(as_viewer, as_owner, stranger, motoro):
    assert as_viewer.get(page_of(motoro)).status_code == 403
    assert as_viewer.post(page_of(motoro), sent(motoro)).status_code == 403
    assert as_owner.get(page_of(motoro)).status_code == 200
    assert stranger.get(page_of(motoro)).status_code == 302
    assert "Change the figures" not in words(as_viewer.get(SPECIES))


def test_species_asks_no_more_questions_for_ten_more_figures(as_viewer, motoro):
    def questions():
        with CaptureQueriesContext(connection) as asked:
            assert as_viewer.get(SPECIES).status_code == 200
        return len(asked)

    questions()
    before = questions()
    for number in range(10):
        ProfileFigure.objects.create(
            profile=motoro, name=f"further_{number}", value=1, certainty="A", source="assumption"
        )
    assert questions() <= before < 20


def test_the_page_of_all_figures_of_the_species_file_is_no_heavier_than_its_words(as_keeper):
    page = as_keeper.get(SPECIES).content
    assert page.count(b"<tr>") > 500
    assert len(page) < 150_000
