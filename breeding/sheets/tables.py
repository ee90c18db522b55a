"""The list of issued sheets."""

from typing import Any

import django_filters as filters
from django.db.models import Q
from django.urls import reverse
from django.utils.html import format_html

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

STANDS = Q(withdrawal__isnull=True, correction__isnull=True)
STATES = {
    "any": ("any", None),
    "stands": ("stand as issued", STANDS),
    "replaced": ("replaced", Q(correction__isnull=False)),
    "withdrawn": ("withdrawn", Q(withdrawal__isnull=False)),
}


class SheetFilter(ListFilter):
    """By number, animal or contact, how it stands, for whom, the days, and who issued it."""

    folded = ("since", "until", "by")
    of_buyers = ("contact",)

    q = SearchFilter(
        *("number", "animal__call_name", "animal__code"),
        placeholder="number, animal or contact",
        of_buyers=("contact__name",),
    )
    state = ChosenFilter(STATES, label="State")
    contact = filters.ModelChoiceFilter(
        queryset=Contact.objects.all(), empty_label="anybody", label="For"
    )
    since = DayFilter("issued_on")
    until = DayFilter("issued_on", is_end=True)
    by = PersonFilter("issued_by")


class SheetTable(ListTable):
    """One row a sheet, the latest first."""

    list_key, one, many = "sheets:index", "sheet", "sheets"
    sorted_by = "-issued_on"
    always = ("number", "file")
    further = ("paper",)
    of_buyers = ("contact",)

    number = column(kind="name", verbose_name="Sheet")
    animal = column(order_by=("animal__call_name", "animal__code"))
    contact = column("for", order_by=("contact__name",), verbose_name="For")
    issued_on = column("issued", verbose_name="Issued")
    issued_by = column("by", orderable=False, verbose_name="By")
    state = computed()
    paper = column("paper")
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
            why = f": {withdrawal.reason}" if self.request.user.may_see_buyers else ""
            return f"withdrawn on {plain_day(withdrawal.withdrawn_on)}{why}"
        if correction := getattr(record, "correction", None):
            return f"replaced by {correction.number}"
        if record.words_erased_on:
            return f"words erased on {plain_day(record.words_erased_on)}"
        return "stands as issued"

    def render_file(self, record: Sheet) -> str:
        if not record.file:
            return ""
        address = reverse("sheets:file", args=[record.pk])
        return format_html(
            '<a href="{}" aria-label="PDF of {}">{}</a>', address, record.number, "PDF"
        )


ALL_SHEETS = ListOf(
    table=SheetTable,
    narrowed=SheetFilter,
    rows=issued_sheets()
    .select_related("withdrawal", "correction")
    .defer("facts", "tree_svg", "correction__facts", "correction__tree_svg"),
    first="No sheet is issued yet. Open an animal and press “Make a parentage sheet”.",
)
