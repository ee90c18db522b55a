"""The lists of arrivals and of loans."""

from typing import Any

import django_filters as filters

from breeding.arrivals.models import Arrival, LoanAgreement
from breeding.program.lists.narrowing import DayFilter, ListFilter, SearchFilter, counting_filter
from breeding.program.lists.page import ListOf, ListTable, column, computed, linked, with_withdrawal
from breeding.words.days import plain_day
from breeding.words.numbers import counted


class ArrivalFilter(ListFilter):
    """By animal, seller or papers, and by the day."""

    folded = ("since", "until")

    q = SearchFilter(
        *("animal__call_name", "animal__code", "contact__name", "papers", "note"),
        placeholder="animal, seller, papers",
    )
    state = counting_filter()
    since = DayFilter("on")
    until = DayFilter("on", is_end=True)


class ArrivalTable(ListTable):
    """One row an animal that came, the latest first."""

    list_key, one, many = "arrivals:index", "arrival", "arrivals"
    sorted_by = "-on"
    always = ("animal",)
    further = ("pregnant", "note", "recorded_by")

    animal = column(kind="name", order_by=("animal__call_name", "animal__code"))
    on = column("since", verbose_name="Came")
    contact = column(order_by=("contact__name",), verbose_name="From")
    price = column(is_number=True, orderable=False)
    papers = column(orderable=False)
    pregnant = column(orderable=False)
    note = column(orderable=False)
    recorded_by = column("by", orderable=False, verbose_name="By")

    def render_animal(self, record: Arrival) -> str:
        return with_withdrawal(linked(record.animal), record)

    def render_on(self, value: Any) -> str:
        return plain_day(value)

    def render_contact(self, value: Any) -> str:
        return linked(value)

    def render_price(self, record: Arrival) -> str:
        return f"{record.price} {record.currency}"

    def render_pregnant(self, record: Arrival) -> str:
        return record.get_pregnant_display()


ALL_ARRIVALS = ListOf(
    table=ArrivalTable,
    narrowed=ArrivalFilter,
    rows=Arrival.every.select_related("animal", "contact", "recorded_by"),
    first="Nobody has come from elsewhere yet, or it was not written down. Press “Somebody new "
    "came”; of an animal on record, say on its own page how it came.",
)


class LoanFilter(ListFilter):
    """By animal or contact, in which direction, and how it stands."""

    q = SearchFilter(
        *("animal__call_name", "animal__code", "contact__name", "terms"),
        placeholder="animal, person, terms",
    )
    state = counting_filter()
    direction = filters.ChoiceFilter(
        choices=LoanAgreement.Direction.choices, empty_label="either", label="Direction"
    )


class LoanTable(ListTable):
    """One row a loan, the latest first."""

    list_key, one, many = "arrivals:loans", "loan", "loans"
    sorted_by = "-since"
    always = ("animal",)
    further = ("terms", "recorded_by")

    animal = column(kind="name", order_by=("animal__call_name", "animal__code"))
    direction = column(orderable=False)
    contact = column(order_by=("contact__name",), verbose_name="With")
    since = column("since", verbose_name="Since")
    due_back_on = column("since", verbose_name="Due back")
    back_on = column("since", verbose_name="Back")
    young = computed(verbose_name="Young owed")
    terms = column(orderable=False)
    recorded_by = column("by", orderable=False, verbose_name="By")

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
        return f"{record.young_given} of {counted(record.young_owed, 'pup')} given"


ALL_LOANS = ListOf(
    table=LoanTable,
    narrowed=LoanFilter,
    rows=LoanAgreement.every.select_related("animal", "contact", "recorded_by"),
    first="Nothing is lent, in either direction. An animal's page lends it, or says whose it is.",
)
