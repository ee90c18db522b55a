"""The figures of a profile: how they are changed, and what was changed."""

import math
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass

from auditlog.models import LogEntry
from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.animals import revisions
from breeding.animals.models import Profile, ProfileFigure
from breeding.animals.species.rules import MM as MM
from breeding.animals.species.rules import NOT_ABOVE, ORDER, FigureRule, source_said
from breeding.animals.species.rules import RULES as RULES
from breeding.animals.species.rules import SHARE as SHARE
from breeding.animals.species.rules import rule_of as rule_of
from breeding.program.problems.doubts import Doubt, ask
from breeding.words.language import message, tell


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
    found = []

    def refused(sentence: str) -> str:
        said = new.said or rule.words(new.value, length_unit)
        return tell(sentence, said=said, allowed=rule.allowed(length_unit))

    if not math.isfinite(new.value) or not rule.least <= new.value <= rule.most:
        found.append(refused(message("{said} is not possible here; allowed is {allowed}.")))
    elif rule.is_whole and new.value != int(new.value):
        found.append(refused(message("{said} is not whole; allowed is {allowed}.")))
    certain = (ProfileFigure.Certainty.PUBLISHED, ProfileFigure.Certainty.KEEPER)
    if new.certainty in certain and new.source.strip().lower() in ("", "assumption"):
        found.append(tell("Say where a published figure or a keeper's record comes from."))
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
            found[name] = [
                tell(
                    "{value} is more than “{other}”, {limit}.",
                    value=words(name),
                    other=rule_of(limit).said,
                    limit=words(limit),
                )
            ]
    seen, empty = values.get("scan_sensitivity"), values.get("scan_specificity")
    if seen is not None and empty is not None and seen + empty < 1:
        found["scan_sensitivity"] = [
            tell(
                "{shown} and {none_shown} together must be at least 100 %, else a scan would "
                "speak against what it shows.",
                shown=words("scan_sensitivity"),
                none_shown=words("scan_specificity"),
            )
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
            (tell(field), _as_shown(field, before, rule, unit), _as_shown(field, after, rule, unit))
            for field, before, after in what_changed(entry)
        )
        found.append(Change(entry, rule.said, what))
    return found


def _as_shown(field: str, kept: str, rule: FigureRule, length_unit: str) -> str:
    """What the history keeps of a value, in the unit shown; other fields are words already."""
    if field == "source":
        return source_said(kept)
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
