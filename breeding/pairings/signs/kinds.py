"""What each kind of sign says of a mating: changing it, with what it was before."""

import math
from dataclasses import dataclass

from auditlog.models import LogEntry
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Sum
from django.utils.translation import gettext_lazy as _

from breeding.animals import revisions
from breeding.animals.models import ProfileFigure
from breeding.animals.species.figures import what_changed
from breeding.pairings.models import SignKind
from breeding.words.language import tell
from breeding.words.numbers import written

LEAST_OF_100, MOST_OF_100 = 0.001, 99.0
COLUMNS = {"after": _("after a mating"), "without": _("without a mating")}


@dataclass(frozen=True)
class SignTyped:
    """What a keeper says of a kind of sign: seen in so many of 100, both or neither."""

    after_of_100: float | None
    without_of_100: float | None
    certainty: str
    source: str


@transaction.atomic
def change_sign_kind(kind: SignKind, typed: SignTyped) -> bool:
    """Change how often a sign is seen; False when nothing is new. The old stays in the history.

    Raises ValidationError by field for what is outside the allowed range.
    """
    problems = {
        f"{column}_of_100": problem
        for column in COLUMNS
        if (problem := _problem(kind, typed, column))
    }
    source = typed.source.strip() or "assumption"
    certain = (ProfileFigure.Certainty.PUBLISHED, ProfileFigure.Certainty.KEEPER)
    if typed.certainty in certain and source.lower() == "assumption":
        problems["source"] = tell("Say where a published figure or a keeper's record comes from.")
    if problems:
        raise ValidationError(problems)
    after, without = _share(typed.after_of_100), _share(typed.without_of_100)
    new = (after, without, typed.certainty, source)
    if (kind.after, kind.without, kind.certainty, kind.source) == new:
        return False
    kind.after, kind.without, kind.certainty, kind.source = new
    kind.full_clean(validate_constraints=False)
    kind.save()
    revisions.figures_changed()
    return True


def _share(of_100: float | None) -> float | None:
    return None if of_100 is None else round(of_100 / 100, 8)


def _problem(kind: SignKind, typed: SignTyped, column: str) -> str:
    """What is wrong with one of the two figures; empty for nothing."""
    number: float | None = getattr(typed, f"{column}_of_100")
    if number is None:
        other = [getattr(typed, f"{one}_of_100") for one in COLUMNS if one != column]
        return "" if other == [None] else tell("Say both figures, or neither.")
    if not math.isfinite(number) or not LEAST_OF_100 <= number <= MOST_OF_100:
        return tell(
            "{number} is not possible here; allowed is from {least} to {most} of 100.",
            number=written(f"{number:g}"),
            least=written(f"{LEAST_OF_100:g}"),
            most=written(f"{MOST_OF_100:g}"),
        )
    others = SignKind.objects.exclude(pk=kind.pk).aggregate(sum=Sum(column))["sum"] or 0.0
    if others + number / 100 >= MOST_OF_100 / 100:
        return tell(
            "{number} is too much: with the other kinds, {others} of 100, nothing seen would be "
            "left no room; allowed is below {most}.",
            number=written(f"{number:g}"),
            others=written(f"{others * 100:g}"),
            most=written(f"{MOST_OF_100 - others * 100:g}"),
        )
    return ""


@dataclass(frozen=True)
class SignChange:
    """One change of a kind of sign, as the history keeps it."""

    entry: LogEntry
    label: str
    what: tuple[tuple[str, str, str], ...]


def changes_of_signs(*, most: int = 50) -> list[SignChange]:
    """The latest changes, newest first: two queries."""
    labels = {str(pk): tell(label) for pk, label in SignKind.objects.values_list("pk", "label")}
    entries = (
        LogEntry.objects.get_for_model(SignKind)
        .filter(action=LogEntry.Action.UPDATE)
        .select_related("actor")
        .order_by("-timestamp")[:most]
    )
    return [
        SignChange(
            entry,
            labels.get(entry.object_pk, ""),
            tuple(_as_said(*changed) for changed in what_changed(entry)),
        )
        for entry in entries
    ]


def _as_said(field: str, before: str, after: str) -> tuple[str, str, str]:
    """A share as so many of 100; other fields are words already."""
    if field not in COLUMNS:
        return field, before, after
    return str(COLUMNS[field]), _of_100(before), _of_100(after)


def _of_100(kept: str) -> str:
    try:
        return tell("{number} of 100", number=written(f"{float(kept) * 100:.6g}"))
    except ValueError:  # there was nothing
        return tell("nothing")
