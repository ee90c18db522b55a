"""One's own reminders: what to think of on a day, once or every so many days."""

from collections.abc import Sequence
from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from breeding.agenda.models import Reminder
from breeding.agenda.own.acts import set_reminders
from breeding.agenda.own.forms import LEAST_DAYS, MOST_DAYS
from breeding.agenda.own.queries import ABOUT
from breeding.program.problems.several import read_of
from breeding.records.incoming.kinds.kept import Again, Kept, all_together
from breeding.records.incoming.kinds.kind import Facts, Keeping, Kind, words
from breeding.records.incoming.meanings import Meaning
from breeding.words.days import long_day
from breeding.words.language import tell, tell_many
from breeding.words.numbers import joined


def _keep_all(rows: Sequence[Facts], keeping: Keeping) -> Sequence[Kept]:
    def make(facts: Facts) -> Reminder:
        about = {name: facts[name] for name in ABOUT}
        _check(facts["every_days"], [str(one) for one in about.values() if one is not None])
        return Reminder(
            text=" ".join(words(facts, "text").split()),
            on=facts["on"],
            every_days=facts["every_days"],
            recorded_by=keeping.by,
            **about,
        )

    again = Again[Reminder](_what, _set_already, _twice_words, "on")
    return all_together(
        rows,
        keeping,
        make=make,
        write=lambda made: set_reminders(made, today=keeping.today),
        again=again,
    )


def _check(every: int | None, named: Sequence[str]) -> None:
    if every is not None and not LEAST_DAYS <= every <= MOST_DAYS:
        raise ValidationError(
            {
                "every_days": tell(
                    "{number} days cannot be; allowed is {least} to {most}.",
                    number=every,
                    least=LEAST_DAYS,
                    most=MOST_DAYS,
                )
            }
        )
    if len(named) > 1:
        raise ValidationError(
            tell(
                "It is about {names}; a reminder is about one of them, or none.",
                names=joined(named),
            )
        )


def _what(row: Reminder) -> tuple[Any, ...]:
    return (row.text.casefold(), row.on, *(getattr(row, f"{one}_id") for one in ABOUT))


def _set_already(rows: Sequence[Reminder]) -> set[Any]:
    return {_what(one) for one in read_of(Reminder.objects.all(), "on", (row.on for row in rows))}


def _twice_words(row: Reminder) -> str:
    return tell(
        "“{text}” for {day} is on record already; this sets it twice.",
        text=row.text,
        day=long_day(row.on),
    )


REMINDERS = Kind(
    "reminders",
    _("reminder"),
    _("reminders"),
    lambda number: tell_many("{number} reminder", "{number} reminders", number),
    (
        Meaning(
            "text",
            _("Remind of"),
            ("reminder", "remind me to", "remind of", "task", "to do", "todo", "erinnerung"),
            _("in words"),
            is_needed=True,
        ),
        Meaning(
            "on",
            pgettext_lazy("a column of a table", "For"),
            ("for", "due", "due on", "date", "day", "when", "on", "next", "datum"),
            _("a full date, today or to come"),
            "day_ahead",
            is_needed=True,
        ),
        Meaning(
            "every_days",
            _("Every so many days"),
            ("every", "every days", "again", "repeat", "rhythm", "how often", "alle"),
            _("a number of days, or weekly; empty for once"),
            "rhythm",
        ),
        Meaning(
            "animal", _("Animal"), ("animal", "code", "ray"), _("its code, or its name"), "animal"
        ),
        Meaning(
            "tank", _("Tank"), ("tank", "tank name", "aquarium", "becken"), _("its name"), "tank"
        ),
        Meaning(
            "contact", _("Person"), ("person", "contact", "with", "call"), _("their name"), "person"
        ),
    ),
    _keep_all,
    lambda facts: facts["on"],
    note="",
    takes=tuple(
        f"agenda.Reminder.{name}"
        for name in ("text", "on", "every_days", "animal", "tank", "contact")
    ),
)
