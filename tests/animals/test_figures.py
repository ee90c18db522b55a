"""Figures of a species on screen: allowed ranges, sources, and what they were before."""

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from breeding.animals.figures import RULES, Typed, change_figures, changes_of
from breeding.animals.models import Profile, ProfileFigure
from breeding.pairings.seasons import season_of
from breeding.pairings.species_file import read_species_file
from breeding.program.readings import the_program
from tests import cast

pytestmark = pytest.mark.django_db
SPECIES = reverse("animals:species")


@pytest.fixture
def motoro(owner):
    return Profile.objects.get(key="motoro")


def page_of(profile):
    return reverse("animals:figures", args=[profile.pk])


def words(answer):
    return " ".join(answer.content.decode().split())


def sent(profile, **changes):
    """The whole form as the page shows it, with some fields typed anew."""
    typed = {}
    for figure in profile.figures.all():
        typed |= {
            f"{figure.name}_value": round(figure.value, 6),
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
    assert "value 110.0 to 113.0" in page
    assert "Sam" in page
    assert "own book" in words(as_keeper.get(SPECIES))
    assert value(Profile.objects.get(key="leopoldi"), "gestation_mean_days") == 110


def test_what_is_not_touched_stays_exact_and_leaves_no_trace(as_keeper, motoro):
    as_keeper.post(page_of(motoro), sent(motoro))
    assert value(motoro, "base_daily") == pytest.approx(1 / 60, abs=1e-15)
    assert changes_of(motoro) == []


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("gestation_mean_days", "5", "5 is not possible here; allowed is from 20 to 730 days."),
        ("gestation_sd_days", "0", "allowed is from 1 to 120 days."),
        ("base_daily", "-0.1", "allowed is from 0 to 1."),
        ("scan_sensitivity", "1", "allowed is from 0.01 to 0.999."),
        ("scan_sensitivity", "0.02", "together must be at least 1"),
        ("sperm_kept_days", "30.5", "allowed is a whole number from 0 to 1000 days."),
        ("mature_male_mm", "9", "allowed is a whole number from 10 to 3000 mm."),
        ("leave_least_days", "60", "more than “Young leave better from”, 56."),
        ("gestation_mean_days", "nan", "“nan” is not possible for"),
        ("gestation_mean_days", "soon", "“soon” is not possible for"),
    ],
)
def test_a_figure_out_of_range_is_refused_by_name(as_keeper, motoro, field, typed, said):
    before = value(motoro, field)
    page = words(as_keeper.post(page_of(motoro), sent(motoro, **{f"{field}_value": typed})))
    assert said in page
    assert value(motoro, field) == before


def test_a_published_figure_needs_its_source(as_keeper, motoro):
    typed = sent(motoro, base_daily_certainty="P", base_daily_source="")
    page = words(as_keeper.post(page_of(motoro), typed))
    assert "Say where a published figure or a keeper" in page


def test_a_figure_without_a_source_is_an_assumption(motoro):
    change_figures(motoro, {"base_daily": Typed(0.02, "A", " ")})
    assert motoro.figures.get(name="base_daily").source == "assumption"
    with pytest.raises(ValidationError, match="no figure called wing_span"):
        change_figures(motoro, {"wing_span": Typed(1, "A", "")})


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
