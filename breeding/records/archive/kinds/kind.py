"""A kind of record as it stands in an archive: its file, and what its columns mean."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from django.apps import apps
from django.db.models import Model


@dataclass(frozen=True)
class Kind:
    """One file of the archive: a row for each record of a model.

    `meanings` says of each field what it means, where no help text of the model and nothing in
    `COMMON` does. Fields named in `secret`, or all when `is_secret`, go out with keys only.
    """

    model_label: str
    name: str
    about: Any  # a sentence, shown on the page in the language of its reader
    meanings: Mapping[str, str] = field(default_factory=dict)
    secret: frozenset[str] = frozenset()
    is_secret: bool = False

    @property
    def model(self) -> type[Model]:
        return apps.get_model(self.model_label)

    @property
    def file(self) -> str:
        return f"records/{self.name}.csv"


# What a field means wherever a field of that name says nothing else.
COMMON = {
    "id": "The number of this row in its file; other files point to it.",
    "recorded_at": "When it was written down.",
    "recorded_by": "Who wrote it down.",
    "withdrawn_at": "When it was withdrawn, and counts no more. Empty: it counts.",
    "withdrawn_by": "Who withdrew it.",
    "withdrawn_reason": "Why it was withdrawn.",
    "animal": "The animal it is about.",
    "female": "The female.",
    "male": "The male.",
    "tank": "The tank.",
    "note": "A note in the keeper's words.",
    "source": "Where it is from.",
    "certainty": "How well it is known.",
    "person": "Whose it is.",
    "key": "The name by which the program finds it.",
}
