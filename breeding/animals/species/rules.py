"""What each figure of a profile means and in which range it must lie, and how that is said."""

import math
from dataclasses import dataclass
from fractions import Fraction

from breeding.words.language import message, tell
from breeding.words.numbers import written
from breeding.words.sizes import MM_PER_UNIT

DAYS, MM, SHARE, CELSIUS = message("days"), "mm", message("share of one"), "°C"
OF_FIVE, OF_WIDTH = message("of 5"), message("of its width")
TAKEN_OVER = "taken over from "  # begins a source as it is kept, in every language
SQUARES = message("squares of its width")
SPAN, WHOLE_SPAN = (
    message("from {least} to {most}"),
    message("a whole number from {least} to {most}"),
)
FAR_TOO_MUCH = 1e12  # no figure comes near it, and floats end at 1e308
SHOWN_PLACES = 4  # fewer than 0.0001 of a day, a per cent or an inch are never meant


@dataclass(frozen=True)
class FigureRule:
    """What a figure is called, its unit as stored, and the range it must lie in, ends allowed.

    Lengths are stored in whole millimetres and shown in the program's unit, "cm" or "in"; chances
    are stored as shares of one and shown in per cent.
    """

    label: str
    unit: str
    least: float
    most: float
    is_whole: bool = False

    @property
    def said(self) -> str:
        """What it is called, in the language of whoever reads it."""
        return tell(self.label)

    def unit_shown(self, length_unit: str) -> str:
        shown = {MM: length_unit, SHARE: "%"}.get(self.unit)
        return shown or (tell(self.unit) if self.unit else "")

    def shown(self, value: float, length_unit: str) -> float:
        """A stored value in the unit it is shown in, to four places.

        >>> RULES["mature_male_mm"].shown(250, "cm"), RULES["mature_male_mm"].shown(250, "in")
        (25.0, 9.8425)
        """
        return round(value / float(self._scale(length_unit)), SHOWN_PLACES)

    def stored(self, typed: float, length_unit: str) -> float:
        """What was typed in the unit shown, as it is stored: lengths to the whole millimetre.

        >>> RULES["mature_male_mm"].stored(10, "in"), RULES["scan_sensitivity"].stored(99.9, "cm")
        (254.0, 0.999)
        """
        if not abs(typed) < FAR_TOO_MUCH:
            return math.inf
        exact = Fraction(repr(typed)) * self._scale(length_unit)
        return float(round(exact) if self.unit == MM else exact)

    def words(self, value: float, length_unit: str) -> str:
        """A stored value with its unit as shown: 25 cm, 1.6667 %, 110 days."""
        figure = written(f"{self.shown(value, length_unit):.6g}")
        return f"{figure} {self.unit_shown(length_unit)}".strip()

    def allowed(self, length_unit: str) -> str:
        sentence = WHOLE_SPAN if self.is_whole and self.unit != MM else SPAN
        least = written(f"{self.shown(self.least, length_unit):.6g}")
        return tell(sentence, least=least, most=self.words(self.most, length_unit))

    def _scale(self, length_unit: str) -> Fraction:
        """How much of the unit as stored is one of the unit as shown."""
        if self.unit == SHARE:
            return Fraction(1, 100)
        return Fraction(str(MM_PER_UNIT[length_unit])) if self.unit == MM else Fraction(1)


RULES = {
    "gestation_mean_days": FigureRule(message("Gestation from mating, mean"), DAYS, 20, 730),
    "gestation_sd_days": FigureRule(message("Gestation, standard deviation"), DAYS, 1, 120),
    "gestation_mean_doubt_days": FigureRule(
        message("Gestation, how well the mean is known"), DAYS, 0, 120
    ),
    "base_daily": FigureRule(message("Rate of mating on a day with a mature male"), SHARE, 0, 1),
    "unknown_factor": FigureRule(
        message("Of that rate, where nobody knows her company"), SHARE, 0, 1
    ),
    "scan_detectable_days": FigureRule(
        message("A scan can show pups from, after mating"), DAYS, 0, 365
    ),
    "scan_sensitivity": FigureRule(message("Pups there, scan shows them"), SHARE, 0.01, 0.999),
    "scan_specificity": FigureRule(message("No pups there, scan shows none"), SHARE, 0.01, 0.999),
    "sperm_kept_days": FigureRule(
        message("Sperm of an earlier male kept for"), DAYS, 0, 1000, True
    ),
    "mature_male_days": FigureRule(
        message("A male of known age can mate from"), DAYS, 0, 5000, True
    ),
    "mature_male_mm": FigureRule(
        message("A male of unknown age can mate from"), MM, 10, 3000, True
    ),
    "mature_female_days": FigureRule(
        message("A female of known age can mate from"), DAYS, 0, 5000, True
    ),
    "mature_female_mm": FigureRule(
        message("A female of unknown age can mate from"), MM, 10, 3000, True
    ),
    "breed_male_days": FigureRule(message("A male is fit to breed from"), DAYS, 0, 5000, True),
    "breed_male_mm": FigureRule(message("A male is fit to breed from"), MM, 10, 3000, True),
    "breed_female_days": FigureRule(message("A female is fit to breed from"), DAYS, 0, 5000, True),
    "breed_female_mm": FigureRule(message("A female is fit to breed from"), MM, 10, 3000, True),
    "breed_male_wider_share": FigureRule(
        message("A male may be wider than her by at most"), SHARE, 0, 1
    ),
    "breed_least_condition": FigureRule(
        message("Fit to breed from condition"), OF_FIVE, 1, 5, True
    ),
    "litter_largest_pups": FigureRule(
        message("The largest litter known"), message("pups"), 1, 60, True
    ),
    "first_food_least_days": FigureRule(
        message("First food taken from, after birth"), DAYS, 0, 60, True
    ),
    "first_food_most_days": FigureRule(
        message("First food taken until, after birth"), DAYS, 0, 60, True
    ),
    "weigh_young_every_days": FigureRule(message("Young are weighed every"), DAYS, 1, 365, True),
    "leave_least_days": FigureRule(
        message("Young may leave from, at the least"), DAYS, 0, 1000, True
    ),
    "leave_least_mm": FigureRule(message("Young may leave from, at the least"), MM, 10, 1000, True),
    "leave_better_days": FigureRule(message("Young leave better from"), DAYS, 0, 1000, True),
    "leave_better_mm": FigureRule(message("Young leave better from"), MM, 10, 1000, True),
    "leave_least_condition": FigureRule(
        message("Young may leave from condition"), OF_FIVE, 1, 5, True
    ),
    "leave_most_loss_share": FigureRule(
        message("Weight lost from which none leaves"), SHARE, 0.01, 1
    ),
    "leave_feeding_days": FigureRule(
        message("Young may leave after feeding for"), DAYS, 0, 365, True
    ),
    "ration_week_least_share": FigureRule(
        message("Food a week, of body weight, from"), SHARE, 0.0001, 2
    ),
    "ration_week_most_share": FigureRule(
        message("Food a week, of body weight, to"), SHARE, 0.0001, 2
    ),
    "young_meals_a_week": FigureRule(
        message("Young are fed so often a week"), message("times"), 1, 70
    ),
    "refused_young_days": FigureRule(
        message("Young refuse food, an alarm from"), DAYS, 1, 60, True
    ),
    "refused_grown_days": FigureRule(message("Grown ones refuse food, from"), DAYS, 1, 60, True),
    "silent_young_days": FigureRule(message("Young not seen to eat, from"), DAYS, 1, 60, True),
    "silent_grown_days": FigureRule(message("Grown ones not seen to eat, from"), DAYS, 1, 60, True),
    "growth_final_female_mm": FigureRule(
        message("A female's final width, from which fits start"), MM, 10, 3000
    ),
    "growth_rate_female": FigureRule(
        message("A female's growth rate a year, from which fits start"), "", 0.001, 50
    ),
    "growth_birth_female_mm": FigureRule(
        message("A female's width at birth, from which fits start"), MM, 5, 1000
    ),
    "growth_final_male_mm": FigureRule(
        message("A male's final width, from which fits start"), MM, 10, 3000
    ),
    "growth_rate_male": FigureRule(
        message("A male's growth rate a year, from which fits start"), "", 0.001, 50
    ),
    "growth_birth_male_mm": FigureRule(
        message("A male's width at birth, from which fits start"), MM, 5, 1000
    ),
    "portrait_fresh_days": FigureRule(
        message("A portrait shows it well for"), DAYS, 1, 10000, True
    ),
    "young_portrait_fresh_days": FigureRule(
        message("A portrait of a young one, for"), DAYS, 1, 10000, True
    ),
    "pattern_halving_days": FigureRule(
        message("An old picture tells half as well after"), DAYS, 30, 36525, True
    ),
    "pattern_fresh_days": FigureRule(
        message("A picture of its spots tells it for"), DAYS, 1, 36525, True
    ),
    "young_pattern_fresh_days": FigureRule(
        message("A picture of a young one's spots, for"), DAYS, 1, 36525, True
    ),
    "pattern_young_days": FigureRule(
        message("Its spots are those of a young one until"), DAYS, 1, 36525, True
    ),
    "water_temperature_least_c": FigureRule(message("Its water, at the least"), CELSIUS, 4, 40),
    "water_temperature_most_c": FigureRule(message("Its water, at the most"), CELSIUS, 4, 40),
    "water_ph_least": FigureRule(message("Its water, pH at the least"), "pH", 3, 10.5),
    "water_ph_most": FigureRule(message("Its water, pH at the most"), "pH", 3, 10.5),
    "space_front_to_back_widths": FigureRule(message("Its tank, front to back"), OF_WIDTH, 0, 50),
    "space_length_widths": FigureRule(message("Its tank, length"), OF_WIDTH, 0, 50),
    "space_floor_first": FigureRule(
        message("Floor for the largest; 0: nothing is said"), SQUARES, 0, 500
    ),
    "space_floor_further": FigureRule(message("Floor for each further one"), SQUARES, 0, 500),
}
# In which order the page lists them; others follow by name.
ORDER = {name: place for place, name in enumerate(RULES)}
# What a figure must not exceed, where both are given.
NOT_ABOVE = {
    "first_food_least_days": "first_food_most_days",
    "leave_least_days": "leave_better_days",
    "leave_least_mm": "leave_better_mm",
    "ration_week_least_share": "ration_week_most_share",
    "gestation_sd_days": "gestation_mean_days",
    "growth_birth_female_mm": "growth_final_female_mm",
    "growth_birth_male_mm": "growth_final_male_mm",
    "gestation_mean_doubt_days": "gestation_mean_days",
    "scan_detectable_days": "gestation_mean_days",
    "mature_male_days": "breed_male_days",
    "mature_male_mm": "breed_male_mm",
    "mature_female_days": "breed_female_days",
    "mature_female_mm": "breed_female_mm",
    "water_temperature_least_c": "water_temperature_most_c",
    "water_ph_least": "water_ph_most",
    "space_front_to_back_widths": "space_length_widths",
    "space_floor_further": "space_floor_first",
}


def rule_of(name: str) -> FigureRule:
    """The rule for a figure; one that nobody wrote a rule for may be any number from 0 on."""
    return RULES.get(name) or FigureRule(name.replace("_", " ").capitalize(), "", 0, 1_000_000)


def source_said(source: str) -> str:
    """Where a figure comes from; what came along is said in the reader's language.

    >>> source_said("taken over from P. motoro: assumption")
    'taken over from P. motoro: assumption'
    """
    if source.startswith(TAKEN_OVER) and tell(source) == source:  # as a whole it is no message
        label, _, rest = source.removeprefix(TAKEN_OVER).partition(": ")
        return tell("taken over from {label}: {source}", label=label, source=source_said(rest))
    return tell(source) if source else ""
