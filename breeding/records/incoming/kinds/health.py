"""Health as it was written down elsewhere: treatments, and what ailed an animal."""

from typing import Any

from django.core.exceptions import ValidationError

from breeding.health.illness.observing import observe
from breeding.health.illness.treating import Prescribed, treat
from breeding.health.models import Observation, Treatment
from breeding.records.incoming.kinds.kind import NOTE, Facts, Keeping, Kind, animal, words
from breeding.records.incoming.meanings import Meaning
from breeding.words.days import long_day

BROUGHT_IN = "brought in from a table"
_FROM = ("from", "since", "start", "began", "date", "on", "day", "von", "seit")
_TO = ("to", "until", "till", "end", "ended", "over", "over on", "bis")


def _treatment(facts: Facts, keeping: Keeping) -> Any:
    one, tank = facts["animal"], facts["tank"]
    if (one is None) == (tank is None):
        raise ValidationError({"animal": "Of which animal or of which tank? One of the two."})
    keeping.ask_when(
        Treatment.objects.filter(
            animal=one, tank=tank, remedy__iexact=words(facts, "remedy"), since=facts["since"]
        ).exists(),
        f"{one.full_name if one else tank}: this treatment from {long_day(facts['since'])} is on "
        "record already; this writes it down twice.",
        "since",
    )
    given = Prescribed(
        remedy=words(facts, "remedy"),
        since=facts["since"],
        until=facts["until"],
        hold_until=facts["hold_until"],
        dose=words(facts, "dose"),
        prescribed_by=words(facts, "prescribed_by"),
        against=words(facts, "against"),
        note=words(facts, "note"),
    )
    return treat(
        one or tank,
        given,
        today=keeping.today,
        by=keeping.by,
        sure=keeping.sure,
        reason=BROUGHT_IN,
    )


def _observation(facts: Facts, keeping: Keeping) -> Any:
    """What is none of the kinds here is kept as something else, in its own words."""
    one, said, note = facts["animal"], words(facts, "kind"), words(facts, "note")
    kind = _kind_of(said)
    keeping.ask_when(
        Observation.objects.filter(animal=one, kind=kind, since=facts["since"]).exists(),
        f"{one.full_name}: “{said}” since {long_day(facts['since'])} is on record already; this "
        "writes it down twice.",
        "since",
    )
    if kind == Observation.Kind.OTHER:
        note = f"{said}. {note}" if note else said
    return observe(
        one,
        kind,
        since=facts["since"],
        over_on=facts["over_on"],
        today=keeping.today,
        by=keeping.by,
        note=note,
        sure=keeping.sure,
    )


def _kind_of(said: str) -> str:
    typed = said.strip().casefold()
    for kind in Observation.Kind:
        if typed in (kind.value, kind.label.casefold()):
            return str(kind.value)
    return str(Observation.Kind.OTHER)


TREATMENTS = Kind(
    "treatments",
    "treatment",
    "treatments",
    (
        Meaning(
            "animal",
            "Animal",
            ("animal", "code", "id", "name", "ray", "who"),
            "its code, or its name; or a tank",
            "animal",
        ),
        Meaning(
            "tank",
            "Tank",
            ("tank", "tank name", "aquarium", "vat", "pond", "becken"),
            "its name, where the water was treated",
            "tank",
        ),
        Meaning(
            "remedy",
            "What was given",
            ("remedy", "medicine", "drug", "treatment", "treated with", "given", "mittel"),
            "its name",
            is_needed=True,
        ),
        Meaning("dose", "Dose", ("dose", "dosage", "dosis"), "as it was prescribed"),
        Meaning(
            "prescribed_by",
            "Prescribed by",
            ("prescribed by", "vet", "veterinarian", "prescriber", "tierarzt"),
            "by whom",
        ),
        Meaning(
            "against",
            "Against what",
            ("against", "for", "diagnosis", "reason", "gegen"),
            "in words",
        ),
        Meaning("since", "From", _FROM, "a full date", "day", is_needed=True),
        Meaning("until", "To", _TO, "a full date; empty while it goes on", "day"),
        Meaning(
            "hold_until",
            "Held until",
            ("hold until", "held until", "hold", "withdrawal until", "not sold until"),
            "a full date",
            "day",
        ),
        NOTE,
    ),
    _treatment,
    lambda facts: facts["since"],
    takes=tuple(
        f"health.Treatment.{name}"
        for name in (
            *("animal", "tank", "remedy", "dose", "prescribed_by", "against"),
            *("since", "until", "hold_until", "note"),
        )
    ),
)
OBSERVATIONS = Kind(
    "observations",
    "observation",
    "observations",
    (
        animal("animal", "code", "id", "name", "ray", "who", "tier"),
        Meaning(
            "kind",
            "What was seen",
            ("symptom", "illness", "ailment", "observation", "complaint", "krankheit"),
            "in words",
            is_needed=True,
        ),
        Meaning("since", "Since", _FROM, "a full date", "day", is_needed=True),
        Meaning("over_on", "Over on", _TO, "a full date; empty while it is not over", "day"),
        NOTE,
    ),
    _observation,
    lambda facts: facts["since"],
    takes=tuple(
        f"health.Observation.{name}" for name in ("animal", "kind", "since", "over_on", "note")
    ),
)
