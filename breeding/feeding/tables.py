"""The list of rounds."""

from typing import Any

import django_filters as filters
from django.db.models import Count, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from breeding.animals.models import Animal
from breeding.feeding.models import Feeding, Food, Meal
from breeding.housing.models import Tank
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
from breeding.words.food import food_amount
from breeding.words.language import message

REFUSED = {
    "any": (_("anything"), None),
    "refused": (_("somebody refused"), Q(refused__gt=0)),
    "all": (_("nobody refused"), Q(refused=0)),
}


class RoundFilter(ListFilter):
    """By tank, food, animal, whether anybody refused, the days, who fed, and the note."""

    folded = ("since", "until", "by", "counting")

    q = SearchFilter("tank__name", "food__name", "note", placeholder=_("tank, food or note"))
    tank = filters.ModelChoiceFilter(
        queryset=Tank.every.all(), empty_label=_("any"), label=_("Tank")
    )
    food = filters.ModelChoiceFilter(
        queryset=Food.every.all(), empty_label=_("any"), label=_("Food")
    )
    refused = ChosenFilter(REFUSED, label=_("Eaten"))
    since = DayFilter("fed_at")
    until = DayFilter("fed_at", is_end=True)
    by = PersonFilter()
    counting = counting_filter()


class RoundTable(ListTable):
    """One row a round, the latest first."""

    list_key, one, many = "feeding:rounds", message("round"), message("rounds")
    sorted_by = "-fed_at"
    always = ("fed_at",)
    further = ("recorded_by", "note")

    fed_at = column(kind="name", verbose_name=_("Fed"))
    food = column(order_by=("food__name",), verbose_name=_("Food"))
    amount_g = column(is_number=True, verbose_name=_("Amount"))
    tank = column(
        pgettext_lazy("before the name of a tank", "in"),
        order_by=("tank__name",),
        verbose_name=_("Tank"),
    )
    fed = column(_("animals"), is_number=True, verbose_name=_("Animals"))
    refused = column(_("refused"), is_number=True, verbose_name=_("Refused"))
    who = computed(_("left by"), verbose_name=_("Who left it"))
    recorded_by = column(order_by=("recorded_by__first_name",), verbose_name=_("By"))
    note = column(orderable=False)

    def gather(self, rows: list[Feeding]) -> None:
        meals = Meal.objects.filter(feeding__in=[one.pk for one in rows], took=Meal.Took.NONE)
        self.left: dict[int, list[Animal]] = {}
        for meal in meals.select_related("animal"):
            self.left.setdefault(meal.feeding_id, []).append(meal.animal)

    def render_fed_at(self, record: Feeding) -> str:
        return with_withdrawal(linked(record, moment(record.fed_at, self.today)), record)

    def render_amount_g(self, value: Any) -> str:
        return food_amount(float(value), self.program.weight_unit)

    def render_tank(self, value: Tank) -> str:
        return linked(value)

    def render_who(self, record: Feeding) -> str:
        return ", ".join(one.name for one in self.left.get(record.pk, []))


def _rows() -> QuerySet[Feeding]:
    """Each with its animals counted by itself, so that only those shown are counted."""
    own = Meal.objects.filter(feeding=OuterRef("pk")).order_by().values("feeding")
    refused = own.filter(took=Meal.Took.NONE)
    rows = Feeding.objects.select_related("food", "tank", "recorded_by", "withdrawn_by")
    return rows.annotate(fed=_number_of(own), refused=_number_of(refused))


def _number_of(meals: QuerySet[Meal, Any]) -> Coalesce:
    return Coalesce(Subquery(meals.annotate(count=Count("pk")).values("count")), 0)


ALL_ROUNDS = ListOf(
    table=RoundTable,
    narrowed=RoundFilter,
    rows=_rows(),
    first=message("No round of feeding is on record yet. Feed a tank, and its round stands here."),
)
