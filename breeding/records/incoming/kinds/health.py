"""Health as it was written down elsewhere: what ailed, treatments, quarantines."""

from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from breeding.health.apart.services import MOST_DAYS, keep_apart, record_earlier_quarantine
from breeding.health.illness.observing import observe
from breeding.health.illness.treating import Prescribed, treat
from breeding.health.models import Observation, Quarantine, Treatment
from breeding.records.incoming.kinds.kept import one_by_one
from breeding.records.incoming.kinds.kind import (
    BROUGHT_IN,
    NOTE,
    Facts,
    Keeping,
    Kind,
    animal,
    words,
)
from breeding.records.incoming.meanings import Meaning, as_written
from breeding.words.days import long_day
from breeding.words.language import tell, tell_many

_FROM = ("from", "since", "start", "began", "date", "on", "day", "von", "seit")
_TO = ("to", "until", "till", "end", "ended", "over", "over on", "bis")


def _treatment(facts: Facts, keeping: Keeping) -> Any:
    one, tank = facts["animal"], facts["tank"]
    if (one is None) == (tank is None):
        raise ValidationError({"animal": tell("Of which animal or of which tank? One of the two.")})
    keeping.ask_when(
        Treatment.objects.filter(
            animal=one, tank=tank, remedy__iexact=words(facts, "remedy"), since=facts["since"]
        ).exists(),
        tell(
            "{whose}: this treatment from {day} is on record already; this writes it down twice.",
            whose=one.full_name if one else tank,
            day=long_day(facts["since"]),
        ),
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
        tell(
            "{animal}: “{illness}” since {day} is on record already; this writes it down twice.",
            animal=one.full_name,
            illness=said,
            day=long_day(facts["since"]),
        ),
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
        if typed in (kind.value, as_written(kind.label).casefold(), str(kind.label).casefold()):
            return str(kind.value)
    return str(Observation.Kind.OTHER)


def _quarantine(facts: Facts, keeping: Keeping) -> Any:
    """One that is over is old news; one that goes on is begun by word, as on the page."""
    one, since, days = facts["animal"], facts["since"], facts["least_days"]
    if days is not None and not 1 <= days <= MOST_DAYS:
        raise ValidationError(
            {
                "least_days": tell(
                    "{number} days cannot be; allowed is {least} to {most}.",
                    number=days,
                    least=1,
                    most=MOST_DAYS,
                )
            }
        )
    known = Quarantine.objects.filter(animal=one, since=since).first()
    if known is not None:
        raise ValidationError(
            {
                "since": tell(
                    "{animal}, in quarantine since {day}, is on record already; change that on "
                    "its page, or leave the row out.",
                    animal=one.full_name,
                    day=long_day(since),
                )
            }
        )
    if facts["ended_on"] is None:
        if facts["result"]:
            raise ValidationError(
                {
                    "ended_on": tell(
                        "It ended as “{result}”; on which day did it end?",
                        result=Quarantine.Result(facts["result"]).label,
                    )
                }
            )
        (row,) = keep_apart(
            [one],
            since=since,
            today=keeping.today,
            by=keeping.by,
            least_days=days,
            note=words(facts, "note"),
        )
        return row
    return record_earlier_quarantine(
        one,
        since=since,
        ended_on=facts["ended_on"],
        result=facts["result"] or "",
        today=keeping.today,
        by=keeping.by,
        least_days=days,
        note=words(facts, "note"),
    )


TREATMENTS = Kind(
    "treatments",
    _("treatment"),
    _("treatments"),
    lambda number: tell_many("{number} treatment", "{number} treatments", number),
    (
        Meaning(
            "animal",
            _("Animal"),
            ("animal", "code", "id", "name", "ray", "who"),
            _("its code, or its name; or a tank"),
            "animal",
        ),
        Meaning(
            "tank",
            _("Tank"),
            ("tank", "tank name", "aquarium", "vat", "pond", "becken"),
            _("its name, where the water was treated"),
            "tank",
        ),
        Meaning(
            "remedy",
            _("What was given"),
            ("remedy", "medicine", "drug", "treatment", "treated with", "given", "mittel"),
            _("its name"),
            is_needed=True,
        ),
        Meaning("dose", _("Dose"), ("dose", "dosage", "dosis"), _("as it was prescribed")),
        Meaning(
            "prescribed_by",
            _("Prescribed by"),
            ("prescribed by", "vet", "veterinarian", "prescriber", "tierarzt"),
            _("by whom"),
        ),
        Meaning(
            "against",
            _("Against what"),
            ("against", "for", "diagnosis", "reason", "gegen"),
            _("in words"),
        ),
        Meaning(
            "since",
            pgettext_lazy("a column of a table", "From"),
            _FROM,
            _("a full date"),
            "day",
            is_needed=True,
        ),
        Meaning(
            "until",
            pgettext_lazy("a column of a table", "To"),
            _TO,
            _("a full date; empty while it goes on"),
            "day",
        ),
        Meaning(
            "hold_until",
            _("Held until"),
            ("hold until", "held until", "hold", "withdrawal until", "not sold until"),
            _("a full date, past or to come"),
            "day_ahead",
        ),
        NOTE,
    ),
    one_by_one(_treatment),
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
    _("observation"),
    _("observations"),
    lambda number: tell_many("{number} observation", "{number} observations", number),
    (
        animal("animal", "code", "id", "name", "ray", "who", "tier"),
        Meaning(
            "kind",
            _("What was seen"),
            ("symptom", "illness", "ailment", "observation", "complaint", "krankheit"),
            _("in words"),
            is_needed=True,
        ),
        Meaning(
            "since",
            pgettext_lazy("a column of a table", "Since"),
            _FROM,
            _("a full date"),
            "day",
            is_needed=True,
        ),
        Meaning("over_on", _("Over on"), _TO, _("a full date; empty while it is not over"), "day"),
        NOTE,
    ),
    one_by_one(_observation),
    lambda facts: facts["since"],
    takes=tuple(
        f"health.Observation.{name}" for name in ("animal", "kind", "since", "over_on", "note")
    ),
)
QUARANTINES = Kind(
    "quarantines",
    _("quarantine"),
    _("quarantines"),
    lambda number: tell_many("{number} quarantine", "{number} quarantines", number),
    (
        animal("animal", "code", "id", "name", "ray", "who", "in quarantine", "tier"),
        Meaning(
            "since",
            _("Quarantine from"),
            ("quarantine from", "quarantine since", "in quarantine since", *_FROM),
            _("a full date"),
            "day",
            is_needed=True,
        ),
        Meaning(
            "least_days",
            _("Days at least"),
            ("days", "least days", "days at least", "quarantine days", "for days", "tage"),
            _("a number; empty for the usual"),
            "count",
        ),
        Meaning(
            "ended_on",
            _("Ended on"),
            (
                "ended on",
                "quarantine to",
                "quarantine until",
                "out of quarantine",
                "released",
                *_TO,
            ),
            _("a full date; empty while it goes on"),
            "day",
        ),
        Meaning(
            "result",
            _("Result"),
            ("result", "outcome", "how it ended", "quarantine result", "ergebnis"),
            _("clear, treated, or cut short"),
            "result",
        ),
        NOTE,
    ),
    one_by_one(_quarantine),
    lambda facts: facts["since"],
    takes=tuple(
        f"health.Quarantine.{name}"
        for name in ("animal", "since", "least_days", "ended_on", "result", "note")
    ),
)
