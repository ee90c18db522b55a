"""Sightings: what was seen of an animal, and when."""

import datetime
from collections.abc import Sequence

from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from breeding.pairings.models import Sighting
from breeding.pairings.services import log_sightings
from breeding.records.incoming.kinds.kept import Again, Kept, all_together, known_by
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


def _keep_all(rows: Sequence[Facts], keeping: Keeping) -> Sequence[Kept]:
    def make(facts: Facts) -> Sighting:
        kind = facts["kind"]
        return Sighting(
            female=facts["animal"],
            kind=kind,
            seen_at=_moment_of(facts, keeping),
            male=facts["male"],
            severity=facts["severity"] if kind.asks_severity else None,
            note=words(facts, "note").strip(),
            recorded_by=keeping.by,
        )

    counting = Sighting.objects.filter(withdrawn_at__isnull=True)
    again = Again[Sighting](
        lambda row: (row.female_id, row.kind_id, row.seen_at),
        lambda rows: known_by(rows, "female", "kind", "seen_at", found=counting),
        _twice_words,
        "seen_at",
    )
    return all_together(
        rows,
        keeping,
        make=make,
        write=lambda made: log_sightings(made, now=keeping.now),
        again=again,
    )


def _moment_of(facts: Facts, keeping: Keeping) -> datetime.datetime:
    seen_at: datetime.datetime = facts["seen_at"]
    if facts["time"] is None:
        return until_now(seen_at, keeping)
    day = timezone.localtime(seen_at).date()
    return datetime.datetime.combine(day, facts["time"], tzinfo=seen_at.tzinfo)


def _twice_words(row: Sighting) -> str:
    return tell(
        "“{sign}” of {animal} at {moment} is on record already; this writes it down twice.",
        sign=row.kind,
        animal=row.female.full_name,
        moment=moment_words(row.seen_at),
    )


SIGHTINGS = Kind(
    "sightings",
    _("sighting"),
    _("sightings"),
    lambda number: tell_many("{number} sighting", "{number} sightings", number),
    (
        animal("animal", "female", "code", "id", "name", "ray", "who", "tier", "weibchen"),
        Meaning(
            "kind",
            _("What was seen"),
            (
                *("sign", "seen", "what", "kind", "behaviour", "behavior", "observation", "event"),
                *("zeichen", "anzeichen", "gesehen", "beobachtung", "verhalten"),
            ),
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
            "male",
            _("With the male"),
            ("male", "with", "by", "partner", "männchen"),
            _("as above"),
            "animal",
        ),
        Meaning("severity", _("Severity"), ("severity", "grade"), _("0 to 4"), "count"),
        NOTE,
    ),
    _keep_all,
    lambda facts: facts["seen_at"],
    takes=(
        *("pairings.Sighting.female", "pairings.Sighting.kind", "pairings.Sighting.seen_at"),
        *("pairings.Sighting.male", "pairings.Sighting.severity", "pairings.Sighting.note"),
    ),
)
