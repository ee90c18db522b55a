"""The list of reminders."""

from typing import Any

from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from breeding.agenda.models import Reminder
from breeding.agenda.own.due import rhythm_words
from breeding.agenda.own.queries import OPEN, StandingReminder, with_answers
from breeding.program.lists.narrowing import ChosenFilter, DayFilter, ListFilter, SearchFilter
from breeding.program.lists.page import ListOf, ListTable, column, computed, linked, with_withdrawal
from breeding.words.days import day_with_distance, plain_day
from breeding.words.language import message, tell

STATES = {
    "open": (_("that ask"), OPEN),
    "done": (_("done"), Q(withdrawn_at__isnull=True) & ~OPEN),
    "withdrawn": (_("withdrawn"), Q(withdrawn_at__isnull=False)),
    "all": (_("every one"), None),
}


class ReminderFilter(ListFilter):
    """By its words or what it is about, whether it still asks, and its day."""

    folded = ("since", "until")

    q = SearchFilter(
        *("text", "animal__call_name", "animal__code", "tank__name"),
        of_buyers=("contact__name",),
        placeholder=_("words, animal, tank"),
    )
    state = ChosenFilter(STATES, label=_("State"))
    since = DayFilter("on")
    until = DayFilter("on", is_end=True)


class ReminderTable(ListTable):
    """One row a reminder, by its first day."""

    list_key, one, many = "agenda:own", message("reminder"), message("reminders")
    sorted_by = "on"
    always = ("text",)
    further = ("done_on", "recorded_by")

    text = column(kind="name", verbose_name=_("To think of"))
    about = computed(verbose_name=_("About"))
    asks = computed(_("asks"), verbose_name=_("Asks"))
    on = column(_("first for"), verbose_name=_("First for"))
    every_days = column(verbose_name=_("How often"))
    done_on = column(_("done"), verbose_name=_("Last done"))
    recorded_by = column(_("by"), orderable=False, verbose_name=_("By"))

    def gather(self, rows: list[Reminder]) -> None:
        asking = with_answers([one for one in rows if not one.is_withdrawn])
        self.standing: dict[int, StandingReminder] = {one.reminder.pk: one for one in asking}

    def render_text(self, record: Reminder) -> str:
        text = linked(record, record.text) if self.request.user.may_write else record.text
        return with_withdrawal(text, record)

    def value_text(self, value: str) -> str:
        return value

    def render_about(self, record: Reminder) -> str:
        about = record.animal or record.tank or record.contact
        return linked(about) if about else ""

    def value_about(self, record: Reminder) -> str:
        return str(record.animal or record.tank or record.contact or "")

    def render_asks(self, record: Reminder) -> str:
        found = self.standing.get(record.pk)
        if found is None:
            return tell("no more")
        words = day_with_distance(found.asks_on, self.today)
        return tell("{day}, put off", day=words) if found.put_off_until else words

    def render_on(self, value: Any) -> str:
        return plain_day(value)

    def render_done_on(self, value: Any) -> str:
        return plain_day(value)

    def render_every_days(self, value: int | None) -> str:
        return rhythm_words(value)


ALL_REMINDERS = ListOf(
    table=ReminderTable,
    narrowed=ReminderFilter,
    rows=Reminder.every.select_related("animal", "tank", "contact", "recorded_by"),
    first=message(
        "No reminder is set. Set one here, or on the page of an animal, a tank or a contact."
    ),
)
