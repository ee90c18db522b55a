"""Questions about reminders; they write nothing."""

import datetime
from dataclasses import dataclass

from django.db.models import Model, Q, QuerySet

from breeding.agenda.kinds.own import KIND_OF
from breeding.agenda.models import Answer, Reminder
from breeding.agenda.own.due import rhythm_words
from breeding.animals.away.gone import GONE
from breeding.animals.models import Animal
from breeding.program.models import Person
from breeding.words.language import tell

ABOUT = ("animal", "tank", "contact")
OPEN = Q(withdrawn_at__isnull=True) & (Q(done_on__isnull=True) | Q(every_days__isnull=False))


@dataclass(frozen=True)
class StandingReminder:
    """One that asks: when, and until when it was put off."""

    reminder: Reminder
    due_on: datetime.date
    put_off_until: datetime.date | None = None

    @property
    def key(self) -> str:
        return key_of(self.reminder, self.due_on)

    @property
    def asks_on(self) -> datetime.date:
        return self.put_off_until or self.due_on

    @property
    def rhythm(self) -> str:
        return rhythm_words(self.reminder.every_days)


def key_of(reminder: Reminder, due: datetime.date) -> str:
    """By which the day finds its line, and answers to it; another day is another line."""
    return f"{KIND_OF[about_what(reminder)]}:{reminder.pk}:{due}"


def is_own(key: str) -> bool:
    """Whether a line's key is one of a reminder."""
    return key.partition(":")[0] in KIND_OF.values()


def reminder_of(key: str) -> Reminder | None:
    """The reminder whose line bears this key."""
    if not is_own(key):
        return None
    pk = key.split(":")[1]
    return Reminder.every.filter(pk=pk).first() if pk.isascii() and pk.isdigit() else None


def about_what(reminder: Reminder) -> str:
    """“animal”, “tank”, “contact”, or nothing."""
    return next((one for one in ABOUT if getattr(reminder, f"{one}_id") is not None), "")


def readable_by(person: Person) -> QuerySet[Reminder]:
    """Those that this person may read: what is about a contact only who may see buyers."""
    rows = Reminder.every.select_related(*ABOUT, "animal__portrait", "recorded_by")
    return rows if person.may_see_buyers else rows.filter(contact__isnull=True)


def standing_of(about: Model) -> list[StandingReminder]:
    """The open reminders of one animal, tank or contact, the next first: two queries."""
    field = about._meta.model_name
    rows = Reminder.objects.filter(OPEN, **{f"{field}": about}).select_related("recorded_by")
    return with_answers(list(rows))


def with_answers(reminders: list[Reminder]) -> list[StandingReminder]:
    """The day on which each asks, the next first; what was put off is put off. One query."""
    standing = [StandingReminder(one, due) for one in reminders if (due := one.due_on)]
    given = Answer.objects.filter(
        key__in=[one.key for one in standing], withdrawn_at__isnull=True
    ).order_by("recorded_at", "pk")
    put_off = dict(given.values_list("key", "put_off_until"))
    found = [StandingReminder(one.reminder, one.due_on, put_off.get(one.key)) for one in standing]
    return sorted(found, key=lambda one: (one.asks_on, one.reminder.pk))


def caution_of(reminder: Reminder) -> str:
    """What has become of whatever it is about, in a sentence; empty while nothing has."""
    animal, tank, contact = reminder.animal, reminder.tank, reminder.contact
    if animal is not None and animal.state in GONE:
        if animal.state == Animal.State.DIED:
            return tell("{animal} died: is it still needed?", animal=animal.name)
        return tell("{animal} left: is it still needed?", animal=animal.name)
    if tank is not None and tank.is_withdrawn:
        return tell("{tank} was given up: is it still needed?", tank=tank)
    if contact is not None and contact.is_withdrawn:
        return tell("The contact was withdrawn: is it still needed?")
    return ""
