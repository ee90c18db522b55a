"""Un-ionised ammonia against the published table, and units of nitrogen against known factors."""

import numpy as np
import pytest

from breeding.housing.ammonia import unionised_ammonia_mg_l, unionised_fraction
from breeding.housing.water.fit import ION_PER_NITROGEN, as_ion, as_nitrogen, unionised_words

# UF/IFAS FA16; also Fundamentals of Aquatic Veterinary Medicine, table 1.4. Left out: its column
# of 32 °C and its cell of 20 °C, pH 7.4, which are misprinted.
PUBLISHED = [
    (20, 7.0, 0.0039),
    (24, 7.4, 0.0131),
    (26, 7.0, 0.0060),
    (24, 8.0, 0.0502),
    (28, 8.0, 0.0654),
    (26, 8.2, 0.0880),
    (28, 7.2, 0.0110),
]


@pytest.mark.parametrize(("temperature_c", "ph", "share"), PUBLISHED)
def test_the_share_is_that_of_the_published_table(temperature_c, ph, share):
    assert round(unionised_fraction(temperature_c, ph), 4) == share


def test_arrays_give_the_same_table_at_once():
    warmth, ph, shares = np.array(PUBLISHED).T
    assert np.round(unionised_fraction(warmth, ph), 4).tolist() == shares.tolist()
    with pytest.raises(ValueError, match="0 to 50 °C is allowed"):
        unionised_fraction(np.array([25.0, 51.0]), 7.0)


def test_one_milligram_of_total_ammonia_at_24_degrees_and_ph_8_is_the_worked_example():
    assert round(unionised_ammonia_mg_l(1.0, 24, 8.0), 4) == 0.0502  # UF/IFAS FA16


def test_half_of_it_is_unionised_where_the_ph_is_the_pka():
    pka = 0.09018 + 2729.92 / 298.15  # Emerson et al. 1975, at 25 °C
    assert unionised_fraction(25, pka) == pytest.approx(0.5, abs=1e-12)


def test_impossible_water_is_refused_by_its_value():
    with pytest.raises(ValueError, match=r"51 °C: a temperature from 0 to 50 °C is allowed"):
        unionised_fraction(51, 7)
    with pytest.raises(ValueError, match=r"pH 14\.5: a pH from 0 to 14 is allowed"):
        unionised_fraction(25, 14.5)
    with pytest.raises(ValueError, match=r"-1 mg/L of ammonia"):
        unionised_ammonia_mg_l(-1, 25, 7)


def test_the_edges_of_what_water_can_be_are_reckoned_with():
    """pKa by Emerson et al. 1975: 10.0844 at 0 °C, 8.5379 at 50 °C; own arithmetic from there."""
    assert unionised_fraction(0, 10.0844) == pytest.approx(0.5, abs=1e-4)
    assert unionised_fraction(50, 8.5379) == pytest.approx(0.5, abs=1e-4)
    assert unionised_fraction(25, 0) < 1e-9
    assert unionised_fraction(25, 14) > 0.9999
    assert unionised_ammonia_mg_l(0, 25, 7) == 0


@pytest.mark.parametrize(
    ("total", "temperature_c", "ph"),
    [(1, -0.5, 7), (1, 50.5, 7), (1, 25, -0.5), (1, 25, 14.5), (-0.5, 25, 7)],
)
def test_half_a_unit_beyond_an_edge_is_refused(total, temperature_c, ph):
    with pytest.raises(ValueError, match="is allowed"):
        unionised_ammonia_mg_l(total, temperature_c, ph)


def test_a_line_is_crossed_only_above_it():
    found = unionised_ammonia_mg_l(1.0, 24, 8.0)
    at_harm = unionised_words(1.0, 24, 8.0, cautious_mg_l=0.02, harm_mg_l=found)
    assert ": above the cautious line of 0.02; harm begins above 0.0501713." in at_harm
    at_caution = unionised_words(1.0, 24, 8.0, cautious_mg_l=found, harm_mg_l=0.5)
    assert ": not above the cautious line of 0.0501713; harm begins above 0.5." in at_caution


def test_the_words_say_where_harm_begins():
    lines = {"cautious_mg_l": 0.02, "harm_mg_l": 0.05}
    assert "harm begins above 0.05. Change water" in unionised_words(1.0, 24, 8.0, **lines)
    assert "above the cautious line of 0.02; harm" in unionised_words(0.5, 24, 8.0, **lines)
    assert "not above the cautious line" in unionised_words(0.5, 24, 7.0, **lines)


def test_nitrogen_becomes_the_ion_by_the_factors_of_the_trade():
    """NO3-N x 4.427 and NO2-N x 3.284, as printed on test kits; NH4-N x 1.288 own arithmetic."""
    rounded = {what: round(factor, 3) for what, factor in ION_PER_NITROGEN.items()}
    assert rounded == {"ammonia": 1.288, "nitrite": 3.284, "nitrate": 4.427}
    assert as_nitrogen(as_ion(0.7, "nitrite", "N"), "nitrite", "ion") == pytest.approx(0.7)


def test_an_unknown_unit_is_refused():
    with pytest.raises(ValueError, match="'NO3' is no unit"):
        as_ion(1, "nitrate", "NO3")
    with pytest.raises(ValueError, match="'iron' is none of ammonia, nitrite, nitrate"):
        as_ion(1, "iron", "N")
