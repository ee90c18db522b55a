"""Health as it was written down elsewhere: what ailed, treatments, quarantines."""

from collections.abc import Sequence
from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from breeding.health.apart.services import MOST_DAYS, record_quarantines
from breeding.health.illness.observing import observe_all
from breeding.health.illness.treating import Prescribed, prescribed, treat_all
from breeding.health.models import Observation, Quarantine, Treatment
from breeding.program.problems.several import read_of
from breeding.records.incoming.kinds.kept import Again, Kept, all_together, in_runs, known_by
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


def _treatments(rows: Sequence[Facts], keeping: Keeping) -> Sequence[Kept]:
    def make(facts: Facts) -> Treatment:
        one, tank = facts["animal"], facts["tank"]
        if (one is None) == (tank is None):
            raise ValidationError(
                {"animal": tell("Of which animal or of which tank? One of the two.")}
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
        return prescribed(one or tank, given, by=keeping.by)

    again = Again[Treatment](
        lambda row: (row.animal_id, row.tank_id, row.remedy.casefold(), row.since),
        _treated,
        _treated_twice_words,
        "since",
    )
    return all_together(
        rows,
        keeping,
        make=make,
        write=lambda made: treat_all(made, today=keeping.today, reason=BROUGHT_IN),
        again=again,
    )


def _treated(rows: Sequence[Treatment]) -> set[tuple[Any, ...]]:
    """What is on record of those the rows are of, by what makes it the same."""
    return {
        (animal, tank, remedy.casefold(), since)
        for of in ("animal", "tank")
        if (mine := [row for row in rows if getattr(row, of) is not None])
        for _, animal, tank, remedy, since in known_by(
            mine, of, "animal", "tank", "remedy", "since", found=Treatment.objects.all()
        )
    }


def _treated_twice_words(row: Treatment) -> str:
    return tell(
        "{whose}: this treatment from {day} is on record already; this writes it down twice.",
        whose=row.animal.full_name if row.animal else row.tank,
        day=long_day(row.since),
    )


def _observations(rows: Sequence[Facts], keeping: Keeping) -> Sequence[Kept]:
    """What is none of the kinds here is kept as something else, in its own words."""
    said: dict[int, str] = {}

    def make(facts: Facts) -> Observation:
        typed, note = words(facts, "kind"), words(facts, "note")
        kind = _kind_of(typed)
        if kind == Observation.Kind.OTHER:
            note = f"{typed}. {note}" if note else typed
        row = Observation(
            animal=facts["animal"],
            kind=kind,
            since=facts["since"],
            over_on=facts["over_on"],
            note=note.strip(),
            recorded_by=keeping.by,
        )
        said[id(row)] = typed
        return row

    def twice_words(row: Observation) -> str:
        return tell(
            "{animal}: “{illness}” since {day} is on record already; this writes it down twice.",
            animal=row.animal.full_name,
            illness=said[id(row)],
            day=long_day(row.since),
        )

    again = Again[Observation](
        lambda row: (row.animal_id, row.kind, row.since),
        lambda made: known_by(made, "animal", "kind", "since", found=Observation.objects.all()),
        twice_words,
        "since",
    )
    return all_together(
        rows,
        keeping,
        make=make,
        write=lambda made: observe_all(made, today=keeping.today),
        again=again,
    )


def _kind_of(said: str) -> str:
    typed = said.strip().casefold()
    for kind in Observation.Kind:
        if typed in (kind.value, as_written(kind.label).casefold(), str(kind.label).casefold()):
            return str(kind.value)
    return str(Observation.Kind.OTHER)


def _quarantines(rows: Sequence[Facts], keeping: Keeping) -> Sequence[Kept]:
    return in_runs(
        rows,
        keeping,
        key=lambda facts: (facts["animal"].pk, facts["since"]),
        together=_all_apart,
    )


def _all_apart(rows: Sequence[Facts], keeping: Keeping) -> list[Kept]:
    mine = [one["animal"].pk for one in rows]
    on_record = read_of(Quarantine.objects.all(), "animal", mine)
    known = {(one.animal_id, one.since) for one in on_record}

    def make(facts: Facts) -> Quarantine:
        _check_quarantine(facts, is_known=(facts["animal"].pk, facts["since"]) in known)
        return Quarantine(
            animal=facts["animal"],
            since=facts["since"],
            ended_on=facts["ended_on"],
            result=facts["result"] or "",
            least_days=facts["least_days"],
            note=words(facts, "note"),
            recorded_by=keeping.by,
        )

    return all_together(
        rows,
        keeping,
        make=make,
        write=lambda made: record_quarantines(made, today=keeping.today),
    )


def _check_quarantine(facts: Facts, *, is_known: bool) -> None:
    """Raises ValidationError for what cannot be, and for one that is on record."""
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
    if is_known:
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
    if facts["ended_on"] is None and facts["result"]:
        raise ValidationError(
            {
                "ended_on": tell(
                    "It ended as “{result}”; on which day did it end?",
                    result=Quarantine.Result(facts["result"]).label,
                )
            }
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
    _treatments,
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
    _observations,
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
    _quarantines,
    lambda facts: facts["since"],
    takes=tuple(
        f"health.Quarantine.{name}"
        for name in ("animal", "since", "least_days", "ended_on", "result", "note")
    ),
)
