"""The figures of a profile: what each means, what is allowed, and changing them."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from auditlog.models import LogEntry
from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.animals import revisions
from breeding.animals.models import Profile, ProfileFigure


@dataclass(frozen=True)
class FigureRule:
    """What a figure is called, its unit, and the range it must lie in, both ends allowed."""

    label: str
    unit: str
    least: float
    most: float
    is_whole: bool = False

    @property
    def allowed(self) -> str:
        whole = "a whole number " if self.is_whole else ""
        unit = f" {self.unit}" if self.unit else ""
        return f"{whole}from {self.least:g} to {self.most:g}{unit}"


DAYS, MM = "days", "mm"
RULES = {
    "gestation_mean_days": FigureRule("Gestation from mating, mean", DAYS, 20, 730),
    "gestation_sd_days": FigureRule("Gestation, standard deviation", DAYS, 1, 120),
    "base_daily": FigureRule("Rate of mating on a day with a mature male", "", 0, 1),
    "scan_detectable_days": FigureRule("A scan can show pups from, after mating", DAYS, 0, 365),
    "scan_sensitivity": FigureRule("Pups there, scan shows them", "", 0.01, 0.999),
    "scan_specificity": FigureRule("No pups there, scan shows none", "", 0.01, 0.999),
    "sperm_kept_days": FigureRule("Sperm of an earlier male kept for", DAYS, 0, 1000, True),
    "mature_male_days": FigureRule("A male of known age is mature from", DAYS, 0, 5000, True),
    "mature_male_mm": FigureRule("A male of unknown age is mature from", MM, 10, 3000, True),
    "mature_female_days": FigureRule("A female of known age is mature from", DAYS, 0, 5000, True),
    "mature_female_mm": FigureRule("A female of unknown age is mature from", MM, 10, 3000, True),
    "leave_least_days": FigureRule("Young may leave from, at the least", DAYS, 0, 1000, True),
    "leave_least_mm": FigureRule("Young may leave from, at the least", MM, 10, 1000, True),
    "leave_better_days": FigureRule("Young leave better from", DAYS, 0, 1000, True),
    "leave_better_mm": FigureRule("Young leave better from", MM, 10, 1000, True),
    "portrait_fresh_days": FigureRule("A portrait shows it well for", DAYS, 1, 10000, True),
    "young_portrait_fresh_days": FigureRule("A portrait of a young one, for", DAYS, 1, 10000, True),
}
# In which order the page lists them; others follow by name.
ORDER = {name: place for place, name in enumerate(RULES)}
# What a figure must not exceed, where both are given.
NOT_ABOVE = {
    "leave_least_days": "leave_better_days",
    "leave_least_mm": "leave_better_mm",
    "gestation_sd_days": "gestation_mean_days",
}


def rule_of(name: str) -> FigureRule:
    """The rule for a figure; one that nobody wrote a rule for may be any number from 0 on."""
    return RULES.get(name) or FigureRule(name.replace("_", " ").capitalize(), "", 0, 1_000_000)


def in_order(figures: Iterable[ProfileFigure]) -> list[ProfileFigure]:
    """As the page lists them."""
    return sorted(figures, key=lambda one: (ORDER.get(one.name, len(ORDER)), one.name))


@dataclass(frozen=True)
class Typed:
    """What a keeper says of one figure."""

    value: float
    certainty: str
    source: str


@transaction.atomic
def change_figures(profile: Profile, typed: Mapping[str, Typed]) -> list[ProfileFigure]:
    """Change figures of a profile; those that stay as they are are left alone. What changed.

    The old values stay in the history. Raises ValidationError by the figure's name.
    """
    figures = {one.name: one for one in profile.figures.select_for_update()}
    problems: dict[str, list[str]] = {}
    changed = []
    for name, new in typed.items():
        figure = figures.get(name)
        if figure is None:
            raise ValidationError(f"{profile} has no figure called {name}.")
        if said := _problems(name, new):
            problems[name] = said
            continue
        source = new.source.strip() or "assumption"
        if (figure.value, figure.certainty, figure.source) != (new.value, new.certainty, source):
            figure.value, figure.certainty, figure.source = new.value, new.certainty, source
            changed.append(figure)
    if not problems:
        problems = _problems_together({name: one.value for name, one in figures.items()})
    if problems:
        raise ValidationError(problems)
    for figure in changed:
        figure.full_clean(validate_constraints=False)
        figure.save()
    if changed:
        revisions.figures_changed()
    return changed


def _problems(name: str, new: Typed) -> list[str]:
    rule = rule_of(name)
    found = []
    if not math.isfinite(new.value) or not rule.least <= new.value <= rule.most:
        found.append(f"{new.value:g} is not possible here; allowed is {rule.allowed}.")
    elif rule.is_whole and new.value != int(new.value):
        found.append(f"{new.value:g} is not whole; allowed is {rule.allowed}.")
    certain = (ProfileFigure.Certainty.PUBLISHED, ProfileFigure.Certainty.KEEPER)
    if new.certainty in certain and new.source.strip().lower() in ("", "assumption"):
        found.append("Say where a published figure or a keeper's record comes from.")
    return found


def _problems_together(values: Mapping[str, float]) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for name, limit in NOT_ABOVE.items():
        if name in values and limit in values and values[name] > values[limit]:
            found[name] = [
                f"{values[name]:g} is more than “{rule_of(limit).label}”, {values[limit]:g}."
            ]
    seen, empty = values.get("scan_sensitivity"), values.get("scan_specificity")
    if seen is not None and empty is not None and seen + empty < 1:
        found["scan_sensitivity"] = [
            f"{seen:g} and {empty:g} together must be at least 1, else a scan would speak against "
            "what it shows."
        ]
    return found


@dataclass(frozen=True)
class Change:
    """One change of one figure, as the history keeps it."""

    entry: LogEntry
    label: str
    what: tuple[tuple[str, str, str], ...]  # field, before, after


def changes_of(profile: Profile, *, most: int = 50) -> list[Change]:
    """The latest changes of a profile's figures, newest first: two queries."""
    labels = {str(one.pk): rule_of(one.name).label for one in profile.figures.all()}
    entries = (
        LogEntry.objects.get_for_objects(profile.figures.all())
        .filter(action=LogEntry.Action.UPDATE)
        .select_related("actor")
        .order_by("-timestamp")[:most]
    )
    return [
        Change(entry, labels.get(entry.object_pk, ""), what_changed(entry)) for entry in entries
    ]


def what_changed(entry: LogEntry) -> tuple[tuple[str, str, str], ...]:
    """Each field that a kept change is about, with its value before and after."""
    return tuple(
        (field.replace("_", " "), str(before), str(after))
        for field, (before, after) in (entry.changes_dict or {}).items()
    )
