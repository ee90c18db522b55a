"""The lines of reminders that somebody set, each on the day it asks."""

from collections.abc import Iterator

from breeding.agenda.gathered import Gathered
from breeding.agenda.kinds.own import KIND_OF
from breeding.agenda.kinds.table import KINDS
from breeding.agenda.lines.line import Line, write_line
from breeding.agenda.models import Reminder
from breeding.agenda.own.due import rhythm_words
from breeding.agenda.own.queries import OPEN, about_what, caution_of
from breeding.words.days import long_day
from breeding.words.language import tell
from breeding.words.style import capital


def own_lines(gathered: Gathered) -> Iterator[Line]:
    """One line for each that is open: what comes again has one line, its next.

    Every line tells calendars its reason: the contact and the words stand in the heading alone.
    """
    found = Reminder.objects.filter(OPEN).select_related(
        "animal", "animal__portrait", "tank", "contact", "recorded_by"
    )
    for one in found:
        if (due := one.due_on) is None:
            continue
        about = one.animal or one.tank or one.contact
        yield write_line(
            KINDS[KIND_OF[about_what(one)]],
            mark=f"{one.pk}:{due}",
            series_mark=str(one.pk),
            on=due,
            today=gathered.today,
            who=_who(one),
            why=_why(one),
            animal=one.animal,
            page_of=about.pk if about else None,
            facts={
                "text": one.text,
                "buyer": one.contact.name if one.contact else "",
                "reminder_id": one.pk,
            },
        )


def _who(one: Reminder) -> str:
    if one.animal is not None:
        return one.animal.name
    return str(one.tank) if one.tank is not None else tell("Reminder")


def _why(one: Reminder) -> str:
    return f"{caution_of(one)} {capital(_rhythm_and_giver(one))}".strip()


def _rhythm_and_giver(one: Reminder) -> str:
    said = {"often": rhythm_words(one.every_days), "person": one.recorded_by}
    if one.done_on is None:
        if one.recorded_by is None:
            return tell("{often}; set.", **said)
        return tell("{often}; set by {person}.", **said)
    said["day"] = long_day(one.done_on)
    if one.recorded_by is None:
        return tell("{often}, last done on {day}; set.", **said)
    return tell("{often}, last done on {day}; set by {person}.", **said)
