"""The lists of arrivals and of loans."""

from typing import Any

import django_filters as filters
from django.urls import reverse
from django.utils.html import format_html
from django.utils.translation import gettext_lazy as _

from breeding.arrivals.loans.young import with_young
from breeding.arrivals.models import Arrival, LoanAgreement
from breeding.program.lists.narrowing import DayFilter, ListFilter, SearchFilter, counting_filter
from breeding.program.lists.page import ListOf, ListTable, column, computed, linked, with_withdrawal
from breeding.words.days import plain_day
from breeding.words.language import message, tell, tell_many
from breeding.words.numbers import written


class ArrivalFilter(ListFilter):
    """By animal, seller or papers, and by the day."""

    folded = ("since", "until")

    q = SearchFilter(
        *("animal__call_name", "animal__code", "contact__name", "papers", "note"),
        placeholder=_("animal, seller, papers"),
    )
    state = counting_filter()
    since = DayFilter("on")
    until = DayFilter("on", is_end=True)


class ArrivalTable(ListTable):
    """One row an animal that came, the latest first."""

    list_key, one, many = "arrivals:index", message("arrival"), message("arrivals")
    sorted_by = "-on"
    always = ("animal",)
    further = ("pregnant", "note", "recorded_by")

    animal = column(kind="name", order_by=("animal__call_name", "animal__code"))
    on = column(_("since"), verbose_name=_("Came"))
    contact = column(order_by=("contact__name",), verbose_name=_("From"))
    price = column(is_number=True, orderable=False)
    papers = column(orderable=False)
    pregnant = column(orderable=False)
    note = column(orderable=False)
    recorded_by = column(_("by"), orderable=False, verbose_name=_("By"))

    def render_animal(self, record: Arrival) -> str:
        return with_withdrawal(linked(record.animal), record)

    def render_on(self, value: Any) -> str:
        return plain_day(value)

    def render_contact(self, value: Any) -> str:
        return linked(value)

    def render_price(self, record: Arrival) -> str:
        return f"{written(str(record.price))} {record.currency}"

    def render_pregnant(self, record: Arrival) -> str:
        return record.get_pregnant_display()


ALL_ARRIVALS = ListOf(
    table=ArrivalTable,
    narrowed=ArrivalFilter,
    rows=Arrival.every.select_related("animal", "contact", "recorded_by"),
    first=message(
        "No animal has come from elsewhere yet, or nobody wrote it down. Press “New animals "
        "came”; for an animal on record, its own page has “How it came”."
    ),
)


class LoanFilter(ListFilter):
    """By animal or contact, in which direction, and how it stands."""

    q = SearchFilter(
        *("animal__call_name", "animal__code", "contact__name", "terms"),
        placeholder=_("animal, person, terms"),
    )
    state = counting_filter()
    direction = filters.ChoiceFilter(
        choices=LoanAgreement.Direction.choices, empty_label=_("either"), label=_("Direction")
    )


class LoanTable(ListTable):
    """One row a loan, the latest first."""

    list_key, one, many = "arrivals:loans", message("loan"), message("loans")
    sorted_by = "-since"
    always = ("animal",)
    further = ("terms", "recorded_by")

    animal = column(kind="name", order_by=("animal__call_name", "animal__code"))
    direction = column(orderable=False)
    contact = column(order_by=("contact__name",), verbose_name=_("With"))
    since = column(_("since"), verbose_name=_("Since"))
    due_back_on = column(_("due back"), verbose_name=_("Due back"))
    back_on = column(_("back"), verbose_name=_("Back"))
    young = computed(verbose_name=_("Young owed"))
    act = computed(kind="press", verbose_name="")
    terms = column(orderable=False)
    recorded_by = column(_("by"), orderable=False, verbose_name=_("By"))

    def gather(self, rows: list[LoanAgreement]) -> None:
        with_young(rows)

    def render_animal(self, record: LoanAgreement) -> str:
        return with_withdrawal(linked(record.animal), record)

    def render_direction(self, record: LoanAgreement) -> str:
        return record.get_direction_display()

    def render_contact(self, value: Any) -> str:
        return linked(value)

    def render_since(self, value: Any) -> str:
        return plain_day(value)

    def render_due_back_on(self, value: Any) -> str:
        return plain_day(value)

    def render_back_on(self, value: Any) -> str:
        return plain_day(value)

    def render_young(self, record: LoanAgreement) -> str:
        if not record.young_owed:
            return ""
        return tell_many(
            "{given} of {number} pup given",
            "{given} of {number} pups given",
            record.young_owed,
            given=record.young.given,
        )

    def render_act(self, record: LoanAgreement) -> str:
        if not (record.is_open and self.request.user.may_write):
            return ""
        words = tell("It is back") if record.is_out else tell("It goes back")
        address = reverse("arrivals:back", args=[record.pk])
        return format_html('<a class="act" href="{}">{}</a>', address, words)


ALL_LOANS = ListOf(
    table=LoanTable,
    narrowed=LoanFilter,
    rows=LoanAgreement.every.select_related("animal", "contact", "recorded_by"),
    first=message(
        "Nothing is lent, in either direction. An animal's page lends it, or says whose it is."
    ),
)
