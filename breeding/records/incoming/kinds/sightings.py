"""Sightings: what was seen of an animal, and when."""

import datetime
from typing import Any

from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from breeding.pairings.models import Sighting
from breeding.pairings.services import log_sighting
from breeding.records.incoming.kinds.kind import (
    NOTE,
    Facts,
    Keeping,
    Kind,
    animal,
    moment_words,
    until_now,
    words,
)
from breeding.records.incoming.meanings import Meaning
from breeding.words.language import tell, tell_many


def _keep(facts: Facts, keeping: Keeping) -> Any:
    one, kind, seen_at = facts["animal"], facts["kind"], facts["seen_at"]
    if facts["time"] is None:
        seen_at = until_now(seen_at, keeping)
    else:
        day = timezone.localtime(seen_at).date()
        seen_at = datetime.datetime.combine(day, facts["time"], tzinfo=seen_at.tzinfo)
    keeping.ask_when(
        Sighting.objects.filter(
            female=one, kind=kind, seen_at=seen_at, withdrawn_at__isnull=True
        ).exists(),
        tell(
            "“{sign}” of {animal} at {moment} is on record already; this writes it down twice.",
            sign=kind,
            animal=one.full_name,
            moment=moment_words(seen_at),
        ),
        "seen_at",
    )
    return log_sighting(
        female=one,
        kind=kind,
        seen_at=seen_at,
        now=keeping.now,
        by=keeping.by,
        male=facts["male"],
        severity=facts["severity"],
        note=words(facts, "note"),
    )


SIGHTINGS = Kind(
    "sightings",
    _("sighting"),
    _("sightings"),
    lambda number: tell_many("{number} sighting", "{number} sightings", number),
    (
        animal("animal", "female", "code", "id", "name", "ray", "who", "tier"),
        Meaning(
            "kind",
            _("What was seen"),
            ("sign", "seen", "what", "kind", "behaviour", "behavior", "observation", "event"),
            _("one of the program's signs, as “Mating”"),
            "sign",
            is_needed=True,
        ),
        Meaning(
            "seen_at",
            _("Seen on"),
            ("date", "seen on", "seen at", "day", "when", "on", "datum"),
            _("a date, with the time or without: then noon"),
            "moment",
            is_needed=True,
        ),
        Meaning("time", _("Time of day"), ("time", "hour", "uhrzeit"), _("14:30"), "time"),
        Meaning(
            "male", _("With the male"), ("male", "with", "by", "partner"), _("as above"), "animal"
        ),
        Meaning("severity", _("Severity"), ("severity", "grade"), _("0 to 4"), "count"),
        NOTE,
    ),
    _keep,
    lambda facts: facts["seen_at"],
    takes=(
        *("pairings.Sighting.female", "pairings.Sighting.kind", "pairings.Sighting.seen_at"),
        *("pairings.Sighting.male", "pairings.Sighting.severity", "pairings.Sighting.note"),
    ),
)
