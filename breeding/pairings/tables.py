"""The lists of pairings and of what was seen."""

from typing import Any

import django_filters as filters
from django.db.models import F, Q
from django.urls import reverse
from django.utils.html import format_html, format_html_join
from django.utils.translation import gettext_lazy as _

from breeding.animals.filters import SpeciesFilter
from breeding.pairings.models import Pairing, Sighting, SignKind
from breeding.program.acts.mending import address_of, change_address_of
from breeding.program.lists.narrowing import (
    ChosenFilter,
    DayFilter,
    ListFilter,
    PersonFilter,
    SearchFilter,
    counting_filter,
)
from breeding.program.lists.page import ListOf, ListTable, column, computed, linked, with_withdrawal
from breeding.program.templatetags.formats import moment
from breeding.words.days import day_with_distance, plain_day
from breeding.words.language import message, tell, tell_many
from breeding.words.numbers import percent

COUNTS = Q(withdrawn_at__isnull=True)
STATES = {
    "any": (_("now and before"), COUNTS),
    "now": (_("together now"), COUNTS & Q(separated_on__isnull=True)),
    "past": (_("taken apart"), COUNTS & Q(separated_on__isnull=False)),
    "withdrawn": (_("withdrawn"), ~COUNTS),
}
NAMES = ("female__call_name", "female__code", "male__call_name", "male__code")


class PairingFilter(ListFilter):
    """By the two, whether they are together, her species, and the day they were put together."""

    folded = ("since", "until", "by")

    q = SearchFilter(*NAMES, "note", "reason", placeholder=_("female, male or note"))
    state = ChosenFilter(STATES, label=_("Together"))
    species = SpeciesFilter("female", _("Her species"))
    since = DayFilter("introduced_on")
    until = DayFilter("introduced_on", is_end=True)
    by = PersonFilter()


class PairingTable(ListTable):
    """One row a pairing; those together now come first."""

    list_key, one, many = "pairings:index", message("pairing"), message("pairings")
    explains = ("F",)
    always = ("pair", "act")
    further = ("reason", "note", "recorded_by")

    pair = computed(kind="name", order_by=NAMES, verbose_name=_("Pairing"))
    introduced_on = column(_("together since"), verbose_name=_("Since"))
    separated_on = computed(_("until"), order_by=("separated_on",), verbose_name=_("Until"))
    days = computed(verbose_name=_("Days"))
    inbreeding_expected = column(_("expected F"), is_number=True, verbose_name=_("Expected F"))
    reason = column(_("reason"), orderable=False, verbose_name=_("Reason"))
    note = column(orderable=False, verbose_name=_("Note"))
    recorded_by = column(_("by"), orderable=False, verbose_name=_("By"))
    act = computed(kind="press", verbose_name="")

    def render_pair(self, record: Pairing) -> str:
        words = tell("{female} and {male}", female=record.female.name, male=record.male.name)
        return with_withdrawal(linked(record, words), record)

    def render_introduced_on(self, record: Pairing) -> str:
        if record.is_open:
            return day_with_distance(record.introduced_on, self.today)
        return plain_day(record.introduced_on)

    def render_separated_on(self, record: Pairing) -> str:
        if record.separated_on is None:
            return "" if record.is_withdrawn else tell("now")
        return plain_day(record.separated_on)

    def render_days(self, record: Pairing) -> str:
        until = record.separated_on or (self.today if record.is_open else None)
        if until is None:
            return ""
        return tell_many("{number} day", "{number} days", (until - record.introduced_on).days)

    def render_inbreeding_expected(self, value: float) -> str:
        return percent(value)

    def render_act(self, record: Pairing) -> str:
        if not (record.is_open and self.request.user.may_write):
            return ""
        address = reverse("pairings:separate", args=[record.pk])
        return format_html('<a class="act" href="{}">{}</a>', address, tell("Separate"))


SEVERITIES = [
    ("1", _("1 and more")),
    ("2", _("2 and more")),
    ("3", _("3 and more")),
    ("4", _("4 and more")),
]


class SightingFilter(ListFilter):
    """By female, male or note, the sign, how bad bite marks were, the days, and who saw it."""

    folded = ("since", "until", "by", "counting")

    q = SearchFilter(*NAMES, "note", placeholder=_("female, male or note"))
    kind = filters.ModelChoiceFilter(
        queryset=SignKind.objects.all(), empty_label=_("any"), label=_("Sign")
    )
    severity = filters.ChoiceFilter(
        choices=SEVERITIES,
        lookup_expr="gte",
        empty_label=_("any"),
        label=_("Severity"),
    )
    since = DayFilter("seen_at")
    until = DayFilter("seen_at", is_end=True)
    by = PersonFilter()
    counting = counting_filter()


class SightingTable(ListTable):
    """One row a sighting, the latest first."""

    list_key, one, many = "pairings:sightings", message("sighting"), message("sightings")
    explains = ("severity",)
    sorted_by = "-seen_at"
    always = ("female", "act")

    female = column(
        kind="name", order_by=("female__call_name", "female__code"), verbose_name=_("Female")
    )
    kind = column(order_by=("kind__position",), verbose_name=_("Sign"))
    severity = column(_("severity"), is_number=True, verbose_name=_("Severity"))
    male = column(_("with"), order_by=("male__call_name", "male__code"), verbose_name=_("Male"))
    seen_at = column(verbose_name=_("Seen"))
    note = column(orderable=False, verbose_name=_("Note"))
    recorded_by = column(_("by"), orderable=False, verbose_name=_("By"))
    act = computed(kind="press", verbose_name="")

    def render_female(self, record: Sighting) -> str:
        words = format_html('<a href="{}">{}</a>', record.page_address, record.female.name)
        return with_withdrawal(words, record)

    def render_male(self, value: Any) -> str:
        return linked(value)

    def render_seen_at(self, value: Any) -> str:
        return moment(value, self.today)

    def render_act(self, record: Sighting) -> str:
        if not self.request.user.may_write:
            return ""
        ways = [
            (change_address_of(record), tell("Change")),
            (address_of(record), tell("Withdraw")),
        ]
        if record.is_withdrawn:
            ways = [(address_of(record), tell("Bring back"))]
        links = format_html_join(" ", '<a href="{}">{}</a>', ways)
        return format_html('<span class="mend">{}</span>', links)


ALL_PAIRINGS = ListOf(
    table=PairingTable,
    narrowed=PairingFilter,
    rows=Pairing.objects.select_related("female", "male", "recorded_by").order_by(
        F("separated_on").desc(nulls_first=True), "-introduced_on", "-pk"
    ),
    first=message(
        "No pairing is on record yet. Put a female and a male together, and their days count from "
        "then on."
    ),
)
ALL_SIGHTINGS = ListOf(
    table=SightingTable,
    narrowed=SightingFilter,
    rows=Sighting.objects.select_related("female", "kind", "male", "recorded_by"),
    first=message(
        "Nothing has been seen yet. Log what you see at the tank; a female's season follows from "
        "it."
    ),
)
