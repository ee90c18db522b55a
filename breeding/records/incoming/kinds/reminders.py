"""One's own reminders: what to think of on a day, once or every so many days."""

from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from breeding.agenda.models import Reminder
from breeding.agenda.own.acts import set_reminder
from breeding.agenda.own.forms import LEAST_DAYS, MOST_DAYS
from breeding.records.incoming.kinds.kept import one_by_one
from breeding.records.incoming.kinds.kind import Facts, Keeping, Kind, words
from breeding.records.incoming.meanings import Meaning
from breeding.words.days import long_day
from breeding.words.language import tell, tell_many
from breeding.words.numbers import joined


def _keep(facts: Facts, keeping: Keeping) -> Any:
    text, on = " ".join(words(facts, "text").split()), facts["on"]
    about = {name: facts[name] for name in ("animal", "tank", "contact")}
    every = facts["every_days"]
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
    named = [str(one) for one in about.values() if one is not None]
    if len(named) > 1:
        raise ValidationError(
            tell(
                "It is about {names}; a reminder is about one of them, or none.",
                names=joined(named),
            )
        )
    keeping.ask_when(
        Reminder.objects.filter(text__iexact=text, on=on, **about).exists(),
        tell(
            "“{text}” for {day} is on record already; this sets it twice.",
            text=text,
            day=long_day(on),
        ),
        "on",
    )
    return set_reminder(
        by=keeping.by, today=keeping.today, text=text, on=on, every_days=every, **about
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
    one_by_one(_keep),
    lambda facts: facts["on"],
    note="",
    takes=tuple(
        f"agenda.Reminder.{name}"
        for name in ("text", "on", "every_days", "animal", "tank", "contact")
    ),
)
