"""The lists of contacts and of wishes."""

from collections.abc import Mapping
from typing import Any

import django_filters as filters
from django.db.models import Q, QuerySet
from django.utils.text import Truncator
from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Species
from breeding.buyers.models import ON_RECORD, Contact, Wish
from breeding.buyers.queries import contacts_with_counts
from breeding.buyers.waiting import Met, standing_and_met
from breeding.program.frame.memory import remembered
from breeding.program.lists.narrowing import ChosenFilter, DayFilter, ListFilter, SearchFilter
from breeding.program.lists.page import ListOf, ListTable, column, computed, linked, with_withdrawal
from breeding.words.days import plain_day
from breeding.words.language import message, tell
from breeding.words.wishes import wish_words

MOST_OF_A_WISH = 120  # characters in the list; the rest is on the contact's page
CONTACT_STATES = {
    "known": (_("on record"), ON_RECORD),
    "withdrawn": (_("withdrawn"), Q(withdrawn_at__isnull=False, erased_at__isnull=True)),
    "erased": (_("erased"), Q(erased_at__isnull=False)),
    "any": (_("every one"), None),
}
STATES = [
    ("standing", _("standing")),
    ("met", _("met")),
    ("withdrawn", _("off the list")),
    ("all", _("every wish")),
]


def met_now() -> Mapping[int, Met]:
    """Which standing wishes are met, reckoned once a request."""
    return remembered("met wishes", lambda: standing_and_met()[1])


class ContactFilter(ListFilter):
    """By name, how to reach them, their wish; how it stands, and whether something is kept."""

    q = SearchFilter("name", "reach", "wish", placeholder=_("name, mail, wish"))
    state = ChosenFilter(CONTACT_STATES, label=_("State"))
    kept = filters.ChoiceFilter(
        method="with_kept",
        choices=[("kept", _("something is reserved")), ("nothing", _("nothing is reserved"))],
        empty_label=_("any"),
        label=_("Reserved for them"),
    )

    def with_kept(self, rows: QuerySet[Any], _: str, state: str) -> QuerySet[Any]:
        return rows.filter(kept__gt=0) if state == "kept" else rows.filter(kept=0)


class ContactTable(ListTable):
    """One row a contact, by name."""

    list_key, one, many = "buyers:index", message("contact"), message("contacts")
    sorted_by = "name"
    always = ("name",)
    further = ("reach", "recorded_by")

    name = column(kind="name")
    wish = column(orderable=False)
    kept = column(_("reserved"), is_number=True, verbose_name=_("Reserved"))
    wished = column(_("wishes"), is_number=True, verbose_name=_("Wishes"))
    reach = column(orderable=False)
    recorded_by = column(_("by"), orderable=False, verbose_name=_("By"))

    def render_name(self, record: Contact) -> str:
        return with_withdrawal(linked(record), record)

    def render_wish(self, value: str) -> str:
        return Truncator(value).chars(MOST_OF_A_WISH).rstrip(".")

    def value_wish(self, value: str) -> str:
        """All of it, where the list is taken out."""
        return value


ALL_CONTACTS = ListOf(
    table=ContactTable,
    narrowed=ContactFilter,
    rows=contacts_with_counts().select_related("recorded_by"),
    first=message(
        "There is no contact yet. Write down who wants to buy; then reserve an animal for them "
        "from its own page, and issue its parentage sheet there."
    ),
)


class WishFilter(ListFilter):
    """By contact or note, how the wish stands, what is asked for, and since when."""

    folded = ("kind", "since", "until")

    q = SearchFilter(
        "contact__name", "note", "strain__name", placeholder=_("contact, strain, note")
    )
    state = filters.ChoiceFilter(
        method="in_state", choices=STATES, initial="standing", empty_label=None, label=_("State")
    )
    species = filters.ModelChoiceFilter(
        queryset=Species.objects.all(), empty_label=_("any"), label=_("Species")
    )
    sex = filters.ChoiceFilter(choices=Wish.Sex.choices[1:], empty_label=_("any"), label=_("Sex"))
    kind = filters.ChoiceFilter(
        choices=Wish.Kind.choices[1:], empty_label=_("any"), label=_("Kind")
    )
    since = DayFilter("wished_on")
    until = DayFilter("wished_on", is_end=True)

    def in_state(self, rows: QuerySet[Any], _: str, state: str) -> QuerySet[Any]:
        if state == "withdrawn":
            return rows.filter(withdrawn_at__isnull=False)
        if state == "met":
            return rows.filter(pk__in=list(met_now()))
        if state == "standing":
            return rows.filter(withdrawn_at__isnull=True).exclude(pk__in=list(met_now()))
        return rows


class WishTable(ListTable):
    """One row a wish; who has waited longest comes first."""

    list_key, one, many = "buyers:wishes", "wish", "wishes"
    explains = ("ready-to-leave",)
    sorted_by = "wished_on"
    always = ("contact",)
    further = ("recorded_by",)

    contact = column(kind="name", order_by=("contact__name",))
    what = computed(verbose_name=_("Asks for"))
    wished_on = column(_("since"), verbose_name=_("Since"))
    state = computed()
    note = column(orderable=False)
    recorded_by = column(_("by"), orderable=False, verbose_name=_("By"))

    def gather(self, rows: list[Wish]) -> None:
        self.met = met_now()

    def render_contact(self, value: Any) -> str:
        return linked(value)

    def render_what(self, record: Wish) -> str:
        return wish_words(record, self.program.length_unit)

    def render_wished_on(self, value: Any) -> str:
        return plain_day(value)

    def render_state(self, record: Wish) -> str:
        if record.is_withdrawn:
            return tell("off the list: {reason}", reason=record.why_withdrawn)
        met = self.met.get(record.pk)
        if met is None:
            return tell("standing")
        if met.has_left:
            return tell("met: {animal} went to them", animal=met.animal.name)
        return tell("met: {animal} is reserved for them", animal=met.animal.name)


ALL_WISHES = ListOf(
    table=WishTable,
    narrowed=WishFilter,
    rows=Wish.objects.select_related("contact", "species", "strain", "trait", "recorded_by"),
    first=message(
        "Nobody waits. Open a contact and press “Add a wish”; the list then says which pups fit it."
    ),
)
