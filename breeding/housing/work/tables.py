"""The lists of water changes and of care."""

from typing import Any

import django_filters as filters
from django.utils.html import format_html
from django.utils.translation import gettext_lazy as _

from breeding.housing.models import Tank, TankWork, WaterChange, WaterSource
from breeding.housing.work.queries import amount_words, every_change, every_work
from breeding.program.acts.mending import put_right_address_of
from breeding.program.lists.narrowing import (
    DayFilter,
    ListFilter,
    PersonFilter,
    SearchFilter,
    counting_filter,
)
from breeding.program.lists.page import ListOf, ListTable, column, computed, linked, with_withdrawal
from breeding.program.lists.taken_out import figures_of
from breeding.program.templatetags.formats import day, moment
from breeding.words.language import message


def opened(table: ListTable, record: WaterChange | TankWork, words: str) -> str:
    """What opens a row: where it is put right, or the tank for who only reads."""
    if not table.request.user.may_write:
        return linked(record.tank, words)
    return format_html('<a href="{}">{}</a>', put_right_address_of(record), words)


class WaterChangeFilter(ListFilter):
    """By tank, source water, the days, who wrote it, and the note."""

    folded = ("since", "until", "by", "counting")

    q = SearchFilter("tank__name", "note", placeholder=_("tank or note"))
    tank = filters.ModelChoiceFilter(
        queryset=Tank.every.all(), empty_label=_("any"), label=_("Tank")
    )
    source = filters.ModelChoiceFilter(
        queryset=WaterSource.every.all(), empty_label=_("any"), label=_("Source water")
    )
    since = DayFilter("changed_at")
    until = DayFilter("changed_at", is_end=True)
    by = PersonFilter()
    counting = counting_filter()


class WaterChangeTable(ListTable):
    """One row a water change of any tank, the latest first."""

    list_key, one, many = "housing:changes", message("water change"), message("water changes")
    sorted_by = "-changed_at"
    always = ("changed_at",)
    further = ("recorded_by",)

    changed_at = column(kind="name", verbose_name=_("Changed"))
    tank = column(order_by=("tank__name",))
    amount = computed(order_by=("percent", "litres"), verbose_name=_("How much"))
    source = column(_("with"), order_by=("source__name",), verbose_name=_("Source water"))
    recorded_by = column(_("by"), orderable=False, verbose_name=_("By"))
    note = column(orderable=False)

    def render_changed_at(self, record: WaterChange) -> str:
        return with_withdrawal(opened(self, record, moment(record.changed_at, self.today)), record)

    def value_changed_at(self, record: WaterChange) -> str:
        return with_withdrawal(figures_of(record.changed_at), record)

    def render_tank(self, value: Tank) -> str:
        return linked(value)

    def render_amount(self, record: WaterChange) -> str:
        return amount_words(record, self.program)


class WorkFilter(ListFilter):
    """By tank, what was done, the days, who did it, and the note."""

    folded = ("since", "until", "by", "counting")

    q = SearchFilter("tank__name", "note", placeholder=_("tank or note"))
    tank = filters.ModelChoiceFilter(
        queryset=Tank.every.all(), empty_label=_("any"), label=_("Tank")
    )
    kind = filters.ChoiceFilter(
        choices=TankWork.Kind.choices, empty_label=_("any"), label=_("What")
    )
    since = DayFilter("on")
    until = DayFilter("on", is_end=True)
    by = PersonFilter()
    counting = counting_filter()


class WorkTable(ListTable):
    """One row for each care of any tank, the latest first."""

    list_key, one, many = "housing:works", message("care"), message("cares")
    sorted_by = "-on"
    always = ("on",)
    further = ("recorded_by",)

    on = column(kind="name", verbose_name=_("Done on"))
    tank = column(order_by=("tank__name",))
    kind = column(verbose_name=_("What"))
    recorded_by = column(_("by"), orderable=False, verbose_name=_("By"))
    note = column(orderable=False)

    def render_on(self, record: TankWork) -> str:
        return with_withdrawal(opened(self, record, day(record.on, self.today)), record)

    def value_on(self, record: TankWork) -> str:
        return with_withdrawal(figures_of(record.on), record)

    def render_tank(self, value: Any) -> str:
        return linked(value)


ALL_CHANGES = ListOf(
    table=WaterChangeTable,
    narrowed=WaterChangeFilter,
    rows=every_change(),
    first=message("No water change is written down yet. Open a tank and write down its first."),
)
ALL_WORKS = ListOf(
    table=WorkTable,
    narrowed=WorkFilter,
    rows=every_work(),
    first=message("No care is written down yet. Open a tank and write down what was seen to."),
)
