"""What each kind of sign says of a mating: changing it, with what it was before."""

import math
from dataclasses import dataclass

from auditlog.models import LogEntry
from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.animals import revisions
from breeding.animals.models import ProfileFigure
from breeding.animals.species.figures import what_changed
from breeding.pairings.models import SignKind
from breeding.words.numbers import counted

MOST_BOOST, MOST_DAYS_BACK = 10.0, 30


@dataclass(frozen=True)
class SignTyped:
    """What a keeper says of a kind of sign."""

    boost: float
    days_back: int
    certainty: str
    source: str


@transaction.atomic
def change_sign_kind(kind: SignKind, typed: SignTyped) -> bool:
    """Change how much a sign counts; False when nothing is new. The old stays in the history.

    Raises ValidationError by field for what is outside the allowed range.
    """
    problems = {}
    if not math.isfinite(typed.boost) or not 0 <= typed.boost <= MOST_BOOST:
        problems["boost"] = (
            f"{typed.boost:g} is not possible here; allowed is from 0 to {MOST_BOOST:g}."
        )
    if not 0 <= typed.days_back <= MOST_DAYS_BACK:
        problems["days_back"] = (
            f"{counted(typed.days_back, 'day is', 'days are')} not possible here; allowed is from "
            f"0 to {MOST_DAYS_BACK}."
        )
    source = typed.source.strip() or "assumption"
    certain = (ProfileFigure.Certainty.PUBLISHED, ProfileFigure.Certainty.KEEPER)
    if typed.certainty in certain and source.lower() == "assumption":
        problems["source"] = "Say where a published figure or a keeper's record comes from."
    if problems:
        raise ValidationError(problems)
    new = (typed.boost, typed.days_back, typed.certainty, source)
    if (kind.boost, kind.days_back, kind.certainty, kind.source) == new:
        return False
    kind.boost, kind.days_back, kind.certainty, kind.source = new
    kind.full_clean(validate_constraints=False)
    kind.save()
    revisions.figures_changed()
    return True


@dataclass(frozen=True)
class SignChange:
    """One change of a kind of sign, as the history keeps it."""

    entry: LogEntry
    label: str
    what: tuple[tuple[str, str, str], ...]


def changes_of_signs(*, most: int = 50) -> list[SignChange]:
    """The latest changes, newest first: two queries."""
    labels = {str(pk): label for pk, label in SignKind.objects.values_list("pk", "label")}
    entries = (
        LogEntry.objects.get_for_model(SignKind)
        .filter(action=LogEntry.Action.UPDATE)
        .select_related("actor")
        .order_by("-timestamp")[:most]
    )
    return [
        SignChange(entry, labels.get(entry.object_pk, ""), what_changed(entry)) for entry in entries
    ]
