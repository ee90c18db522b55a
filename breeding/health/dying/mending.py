"""How a record of a death is put right, and what undoing must not leave behind."""

import datetime
from collections.abc import Iterable, Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models
from django.utils import timezone

from breeding.animals.models import Animal
from breeding.health.dying.forms import FIELDS, DeathChangeForm
from breeding.health.dying.services import ToldDeath, bring_back_death, change_death
from breeding.health.models import Death
from breeding.program.acts.mending import Kind, Way
from breeding.program.models import Act, Person, Program
from breeding.words.language import tell


class DeathKind(Kind[Death]):
    key = "death"
    model = Death
    related = ("animal", "photograph")

    def called(self, record: Death) -> str:
        return tell("how {animal} died", animal=record.animal)

    def crumb(self, record: Death) -> Way:
        return Way(str(record.animal), record.animal.get_absolute_url())

    def caution(self, record: Death, *, today: datetime.date) -> str:
        return tell("It stays on record that it died, and when; only how is withdrawn.")

    def instead(self, record: Death) -> Way | None:
        where = f"{record.animal.get_absolute_url()}state/"
        return Way(tell("say where it stands"), where, before=tell("If it did not die:"))

    def change_form(
        self,
        record: Death,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> DeathChangeForm:
        return DeathChangeForm(sent, files, record=record)

    def change(
        self, record: Death, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        change_death(
            record,
            ToldDeath(**{name: facts[name] for name in FIELDS}),
            today=timezone.localdate(now),
            by=by,
            photograph=facts.get("photograph"),
            without_photograph=facts.get("without_photograph", False),
        )

    def return_to_count(self, record: Death, *, by: Person, now: datetime.datetime) -> None:
        bring_back_death(record)


KINDS = (DeathKind(),)


def refuse_death_of_living(sender: type[Act], rows: Iterable[models.Model], **_: Any) -> None:
    """Undone, no animal is here again while how it died still counts. Raises ValidationError."""
    keys = {row.pk for row in rows if isinstance(row, Animal)}
    keys |= {row.animal_id for row in rows if isinstance(row, Death)}
    standing = Death.objects.filter(animal__in=keys).exclude(animal__state=Animal.State.DIED)
    for death in standing.select_related("animal"):
        raise ValidationError(
            tell(
                "It cannot be undone: how {animal} died is on record ({cause}); withdraw that "
                "first, or say where it stands, and it goes with that.",
                animal=death.animal.name,
                cause=death.cause_words,
            )
        )
