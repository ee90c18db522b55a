"""The list of issued sheets."""

from typing import Any

import django_filters as filters
from django.db.models import Q
from django.urls import reverse
from django.utils.html import format_html
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from breeding.buyers.models import Contact
from breeding.program.lists.narrowing import (
    ChosenFilter,
    DayFilter,
    ListFilter,
    PersonFilter,
    SearchFilter,
)
from breeding.program.lists.page import ListOf, ListTable, column, computed, linked
from breeding.sheets.models import Sheet
from breeding.sheets.queries import issued_sheets
from breeding.words.days import plain_day
from breeding.words.language import message, tell

FOR = pgettext_lazy("for whom a sheet is", "For")
STANDS = Q(withdrawal__isnull=True, correction__isnull=True)
STATES = {
    "any": (_("any"), None),
    "stands": (_("stand as issued"), STANDS),
    "replaced": (_("replaced"), Q(correction__isnull=False)),
    "withdrawn": (_("withdrawn"), Q(withdrawal__isnull=False)),
}


class SheetFilter(ListFilter):
    """By number, animal or contact, how it stands, for whom, the days, and who issued it."""

    folded = ("since", "until", "by")
    of_buyers = ("contact",)

    q = SearchFilter(
        *("number", "animal__call_name", "animal__code"),
        placeholder=_("number, animal or contact"),
        of_buyers=("contact__name",),
    )
    state = ChosenFilter(STATES, label=_("State"))
    contact = filters.ModelChoiceFilter(
        queryset=Contact.objects.all(),
        empty_label=_("anybody"),
        label=FOR,
    )
    since = DayFilter("issued_on")
    until = DayFilter("issued_on", is_end=True)
    by = PersonFilter("issued_by")


class SheetTable(ListTable):
    """One row a sheet, the latest first."""

    list_key, one, many = "sheets:index", message("sheet"), message("sheets")
    explains = ("sheet",)
    sorted_by = "-issued_on"
    always = ("number", "file")
    further = ("paper",)
    of_buyers = ("contact",)

    number = column(kind="name", verbose_name=_("Sheet"))
    animal = column(order_by=("animal__call_name", "animal__code"))
    contact = column(
        pgettext_lazy("for whom a sheet is", "for"),
        order_by=("contact__name",),
        verbose_name=FOR,
    )
    issued_on = column(_("issued"), verbose_name=_("Issued"))
    issued_by = column(_("by"), orderable=False, verbose_name=_("By"))
    state = computed(verbose_name=_("State"))
    paper = column(_("paper"))
    file = computed(verbose_name="")

    def render_number(self, record: Sheet) -> str:
        return linked(record, record.number)

    def render_animal(self, value: Any) -> str:
        return linked(value, value.full_name)

    def render_contact(self, value: Any) -> str:
        return linked(value)

    def render_issued_on(self, value: Any) -> str:
        return plain_day(value)

    def render_state(self, record: Sheet) -> str:
        if withdrawal := getattr(record, "withdrawal", None):
            day = plain_day(withdrawal.withdrawn_on)
            if self.request.user.may_see_buyers:
                return tell("withdrawn on {day}: {reason}", day=day, reason=withdrawal.reason)
            return tell("withdrawn on {day}", day=day)
        if correction := getattr(record, "correction", None):
            return tell("replaced by {number}", number=correction.number)
        if record.words_erased_on:
            return tell("words erased on {day}", day=plain_day(record.words_erased_on))
        return tell("stands as issued")

    def render_file(self, record: Sheet) -> str:
        if not record.file:
            return ""
        address = reverse("sheets:file", args=[record.pk])
        about = tell("PDF of {number}", number=record.number)
        return format_html('<a href="{}" aria-label="{}">PDF</a>', address, about)


ALL_SHEETS = ListOf(
    table=SheetTable,
    narrowed=SheetFilter,
    rows=issued_sheets()
    .select_related("withdrawal", "correction")
    .defer("facts", "tree_svg", "correction__facts", "correction__tree_svg"),
    first=message(
        "No sheet has been issued yet. Open an animal and press “Make a parentage sheet”."
    ),
)
