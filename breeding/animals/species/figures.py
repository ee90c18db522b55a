"""The figures of a profile: what each means, what is allowed, and changing them."""

import math
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from auditlog.models import LogEntry
from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.animals import revisions
from breeding.animals.models import Profile, ProfileFigure
from breeding.program.problems.doubts import Doubt, ask
from breeding.words.sizes import MM_PER_UNIT

DAYS, MM, SHARE, CELSIUS = "days", "mm", "share of one", "°C"
SQUARES = "squares of its width"
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

    def unit_shown(self, length_unit: str) -> str:
        return {MM: length_unit, SHARE: "%"}.get(self.unit, self.unit)

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
        return f"{self.shown(value, length_unit):.6g} {self.unit_shown(length_unit)}".strip()

    def allowed(self, length_unit: str) -> str:
        whole = "a whole number " if self.is_whole and self.unit != MM else ""
        least = self.shown(self.least, length_unit)
        return f"{whole}from {least:.6g} to {self.words(self.most, length_unit)}"

    def _scale(self, length_unit: str) -> Fraction:
        """How much of the unit as stored is one of the unit as shown."""
        if self.unit == SHARE:
            return Fraction(1, 100)
        return Fraction(str(MM_PER_UNIT[length_unit])) if self.unit == MM else Fraction(1)


RULES = {
    "gestation_mean_days": FigureRule("Gestation from mating, mean", DAYS, 20, 730),
    "gestation_sd_days": FigureRule("Gestation, standard deviation", DAYS, 1, 120),
    "gestation_mean_doubt_days": FigureRule("Gestation, how well the mean is known", DAYS, 0, 120),
    "base_daily": FigureRule("Rate of mating on a day with a mature male", SHARE, 0, 1),
    "unknown_factor": FigureRule("Of that rate, where nobody knows her company", SHARE, 0, 1),
    "scan_detectable_days": FigureRule("A scan can show pups from, after mating", DAYS, 0, 365),
    "scan_sensitivity": FigureRule("Pups there, scan shows them", SHARE, 0.01, 0.999),
    "scan_specificity": FigureRule("No pups there, scan shows none", SHARE, 0.01, 0.999),
    "sperm_kept_days": FigureRule("Sperm of an earlier male kept for", DAYS, 0, 1000, True),
    "mature_male_days": FigureRule("A male of known age can mate from", DAYS, 0, 5000, True),
    "mature_male_mm": FigureRule("A male of unknown age can mate from", MM, 10, 3000, True),
    "mature_female_days": FigureRule("A female of known age can mate from", DAYS, 0, 5000, True),
    "mature_female_mm": FigureRule("A female of unknown age can mate from", MM, 10, 3000, True),
    "breed_male_days": FigureRule("A male is fit to breed from", DAYS, 0, 5000, True),
    "breed_male_mm": FigureRule("A male is fit to breed from", MM, 10, 3000, True),
    "breed_female_days": FigureRule("A female is fit to breed from", DAYS, 0, 5000, True),
    "breed_female_mm": FigureRule("A female is fit to breed from", MM, 10, 3000, True),
    "breed_male_wider_share": FigureRule("A male may be wider than her by at most", SHARE, 0, 1),
    "breed_least_condition": FigureRule("Fit to breed from condition", "of 5", 1, 5, True),
    "litter_largest_pups": FigureRule("The largest litter known", "pups", 1, 60, True),
    "first_food_least_days": FigureRule("First food taken from, after birth", DAYS, 0, 60, True),
    "first_food_most_days": FigureRule("First food taken until, after birth", DAYS, 0, 60, True),
    "weigh_young_every_days": FigureRule("Young are weighed every", DAYS, 1, 365, True),
    "leave_least_days": FigureRule("Young may leave from, at the least", DAYS, 0, 1000, True),
    "leave_least_mm": FigureRule("Young may leave from, at the least", MM, 10, 1000, True),
    "leave_better_days": FigureRule("Young leave better from", DAYS, 0, 1000, True),
    "leave_better_mm": FigureRule("Young leave better from", MM, 10, 1000, True),
    "leave_least_condition": FigureRule("Young may leave from condition", "of 5", 1, 5, True),
    "leave_most_loss_share": FigureRule("Weight lost from which none leaves", SHARE, 0.01, 1),
    "leave_feeding_days": FigureRule("Young may leave after feeding for", DAYS, 0, 365, True),
    "ration_week_least_share": FigureRule("Food a week, of body weight, from", SHARE, 0.0001, 2),
    "ration_week_most_share": FigureRule("Food a week, of body weight, to", SHARE, 0.0001, 2),
    "young_meals_a_week": FigureRule("Young are fed so often a week", "times", 1, 70),
    "refused_young_days": FigureRule("Young refuse food, an alarm from", DAYS, 1, 60, True),
    "refused_grown_days": FigureRule("Grown ones refuse food, from", DAYS, 1, 60, True),
    "silent_young_days": FigureRule("Young not seen to eat, from", DAYS, 1, 60, True),
    "silent_grown_days": FigureRule("Grown ones not seen to eat, from", DAYS, 1, 60, True),
    **{
        f"growth_{name}_{sex}{ending}": FigureRule(f"A {sex}'s {words}", unit, least, most)
        for sex in ("female", "male")
        for name, ending, words, unit, least, most in (
            ("final", "_mm", "final width, from which fits start", MM, 10, 3000),
            ("rate", "", "growth rate a year, from which fits start", "", 0.001, 50),
            ("birth", "_mm", "width at birth, from which fits start", MM, 5, 1000),
        )
    },
    "portrait_fresh_days": FigureRule("A portrait shows it well for", DAYS, 1, 10000, True),
    "young_portrait_fresh_days": FigureRule("A portrait of a young one, for", DAYS, 1, 10000, True),
    "water_temperature_least_c": FigureRule("Its water, at the least", CELSIUS, 4, 40),
    "water_temperature_most_c": FigureRule("Its water, at the most", CELSIUS, 4, 40),
    "water_ph_least": FigureRule("Its water, pH at the least", "pH", 3, 10.5),
    "water_ph_most": FigureRule("Its water, pH at the most", "pH", 3, 10.5),
    "space_front_to_back_widths": FigureRule("Its tank, front to back", "of its width", 0, 50),
    "space_length_widths": FigureRule("Its tank, length", "of its width", 0, 50),
    "space_floor_first": FigureRule("Floor for the largest; 0: nothing is said", SQUARES, 0, 500),
    "space_floor_further": FigureRule("Floor for each further one", SQUARES, 0, 500),
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


def in_order(figures: Iterable[ProfileFigure]) -> list[ProfileFigure]:
    """As the page lists them."""
    return sorted(figures, key=lambda one: (ORDER.get(one.name, len(ORDER)), one.name))


@dataclass(frozen=True)
class Typed:
    """What a keeper says of one figure; `said` is the number as typed, in the unit shown."""

    value: float
    certainty: str
    source: str
    said: str = ""


@transaction.atomic
def change_figures(
    profile: Profile,
    typed: Mapping[str, Typed],
    *,
    length_unit: str,
    doubts: Callable[[Mapping[str, float], frozenset[str]], Iterable[Doubt]] | None = None,
    sure: Collection[str] = frozenset(),
) -> list[ProfileFigure]:
    """Change figures of a profile; those that stay as they are are left alone. What changed.

    Values come as they are stored; `length_unit` is the one in which errors speak. The old values
    stay in the history. Raises ValidationError by the figure's name, and DoubtError, which `sure`
    answers, for what `doubts` says of all values and those that are new.
    """
    figures = {one.name: one for one in profile.figures.select_for_update()}
    problems: dict[str, list[str]] = {}
    changed = []
    for name, new in typed.items():
        figure = figures.get(name)
        if figure is None:
            raise ValidationError(f"{profile} has no figure called {name}.")
        if said := _problems(name, new, length_unit):
            problems[name] = said
            continue
        source = new.source.strip() or "assumption"
        if (figure.value, figure.certainty, figure.source) != (new.value, new.certainty, source):
            figure.value, figure.certainty, figure.source = new.value, new.certainty, source
            changed.append(figure)
    if not problems:
        values = {name: one.value for name, one in figures.items()}
        problems = _problems_together(values, length_unit, {one.name for one in changed})
    if problems:
        raise ValidationError(problems)
    if doubts is not None:
        ask(doubts(values, frozenset(one.name for one in changed)), sure)
    for figure in changed:
        figure.full_clean(validate_constraints=False)
        figure.save()
    if changed:
        revisions.figures_changed()
    return changed


def problems_with(typed: Mapping[str, Typed], length_unit: str) -> dict[str, list[str]]:
    """What cannot be of a whole set of figures, by the figure's name."""
    found = {
        name: said for name, one in typed.items() if (said := _problems(name, one, length_unit))
    }
    values = {name: one.value for name, one in typed.items()}
    return found or _problems_together(values, length_unit, values.keys())


def _problems(name: str, new: Typed, length_unit: str) -> list[str]:
    rule = rule_of(name)
    said, allowed = new.said or rule.words(new.value, length_unit), rule.allowed(length_unit)
    found = []
    if not math.isfinite(new.value) or not rule.least <= new.value <= rule.most:
        found.append(f"{said} is not possible here; allowed is {allowed}.")
    elif rule.is_whole and new.value != int(new.value):
        found.append(f"{said} is not whole; allowed is {allowed}.")
    certain = (ProfileFigure.Certainty.PUBLISHED, ProfileFigure.Certainty.KEEPER)
    if new.certainty in certain and new.source.strip().lower() in ("", "assumption"):
        found.append("Say where a published figure or a keeper's record comes from.")
    return found


def _problems_together(
    values: Mapping[str, float], length_unit: str, changed: Collection[str]
) -> dict[str, list[str]]:
    """What two figures cannot be together, where one of them is new; old ones stand as they are."""

    def words(name: str) -> str:
        return rule_of(name).words(values[name], length_unit)

    found: dict[str, list[str]] = {}
    for name, limit in NOT_ABOVE.items():
        if name not in changed and limit not in changed:
            continue
        if name in values and limit in values and values[name] > values[limit]:
            found[name] = [f"{words(name)} is more than “{rule_of(limit).label}”, {words(limit)}."]
    seen, empty = values.get("scan_sensitivity"), values.get("scan_specificity")
    if seen is not None and empty is not None and seen + empty < 1:
        found["scan_sensitivity"] = [
            f"{words('scan_sensitivity')} and {words('scan_specificity')} together must be at "
            "least 100 %, else a scan would speak against what it shows."
        ]
    return found


@dataclass(frozen=True)
class Change:
    """One change of one figure, as the history keeps it."""

    entry: LogEntry
    label: str
    what: tuple[tuple[str, str, str], ...]  # field, before, after


def changes_of(profile: Profile, *, length_unit: str, most: int = 50) -> list[Change]:
    """The latest changes of a profile's figures, newest first: two queries."""
    names = {str(one.pk): one.name for one in profile.figures.all()}
    entries = (
        LogEntry.objects.get_for_objects(profile.figures.all())
        .filter(action=LogEntry.Action.UPDATE)
        .select_related("actor")
        .order_by("-timestamp")[:most]
    )
    found = []
    for entry in entries:
        rule, unit = rule_of(names[entry.object_pk]), length_unit
        what = tuple(
            (field, _as_shown(field, before, rule, unit), _as_shown(field, after, rule, unit))
            for field, before, after in what_changed(entry)
        )
        found.append(Change(entry, rule.label, what))
    return found


def _as_shown(field: str, kept: str, rule: FigureRule, length_unit: str) -> str:
    """What the history keeps of a value, in the unit shown; other fields are words already."""
    try:
        return rule.words(float(kept), length_unit) if field == "value" else kept
    except ValueError:  # nothing was there before
        return kept


def what_changed(entry: LogEntry) -> tuple[tuple[str, str, str], ...]:
    """Each field that a kept change is about, with its value before and after."""
    return tuple(
        (field.replace("_", " "), str(before), str(after))
        for field, (before, after) in (entry.changes_dict or {}).items()
    )
