"""The list of litters."""

import datetime
from collections.abc import Mapping
from typing import Any

import django_filters as filters
from django.db.models import Count, Q
from django.utils.html import format_html, format_html_join
from django.utils.translation import gettext_lazy as _

from breeding.animals.filters import SpeciesFilter
from breeding.litters import queries
from breeding.litters.models import Litter
from breeding.litters.queries import PupReading
from breeding.litters.renewed import about_pups_of
from breeding.program.lists.narrowing import DayFilter, ListFilter, SearchFilter, counting_filter
from breeding.program.lists.page import ListOf, ListTable, column, computed, linked, with_withdrawal
from breeding.program.lists.taken_out import figures_of
from breeding.program.unchanged.growing import kept_from_page_to_page
from breeding.words.days import day_with_distance
from breeding.words.language import message, tell, tell_many

SIZES = [
    ("0", _("none")),
    ("1", _("one or two")),
    ("3", _("three to five")),
    ("6", _("six and more")),
]
BOUNDS = {"0": (0, 0), "1": (1, 2), "3": (3, 5), "6": (6, 1000)}


class LitterFilter(ListFilter):
    """By code, dam, pup or note, the dam's species, the number of pups, and the day of birth."""

    folded = ("since", "until", "counting")

    q = SearchFilter(
        *("code", "note", "dam__call_name", "dam__code"), placeholder=_("code, dam or note")
    )
    species = SpeciesFilter("dam", _("Dam's species"))
    pups = filters.ChoiceFilter(
        method="of_size", choices=SIZES, empty_label=_("any"), label=_("Pups")
    )
    since = DayFilter("born_on")
    until = DayFilter("born_on", is_end=True)
    counting = counting_filter()

    def of_size(self, rows: Any, _name: str, size: str) -> Any:
        return rows.filter(pup_count__range=BOUNDS[size])


class LitterTable(ListTable):
    """One row a litter, with every pup and how it stands."""

    list_key, one, many = "litters:index", message("litter"), message("litters")
    explains = ("ready-to-leave",)
    sorted_by = "-born"
    always = ("code",)
    further = ("alive", "note", "recorded_by")

    code = column(kind="name", verbose_name=_("Litter"))
    dam = column(order_by=("dam__call_name", "dam__code"), verbose_name=_("Dam"))
    born = computed(_("born"), order_by=("born_on",), verbose_name=_("Born"))
    pup_count = column(kind="short", verbose_name=_("Pups"))
    alive = computed(_("born alive"), verbose_name=_("Born alive"))
    pups = computed(verbose_name=_("How they stand"))
    note = column(orderable=False, verbose_name=_("Note"))
    recorded_by = column(_("by"), orderable=False, verbose_name=_("By"))

    def gather(self, rows: list[Litter]) -> None:
        self.told = told_of(rows, asof=self.today)

    def render_code(self, record: Litter) -> str:
        return with_withdrawal(linked(record, record.code), record)

    def render_dam(self, value: Any) -> str:
        return linked(value)

    def render_born(self, record: Litter) -> str:
        return day_with_distance(record.born_on, self.today)

    def value_born(self, record: Litter) -> str:
        """In figures, where the list is taken out: how far away it is is true today only."""
        return figures_of(record.born_on)

    def render_pup_count(self, value: int) -> str:
        return tell_many("{number} pup", "{number} pups", value)

    def render_alive(self, record: Litter) -> str:
        alive, _ = self.told.get(record.pk, (0, ""))
        return str(alive)

    def render_pups(self, record: Litter) -> str:
        _, pups = self.told.get(record.pk, (0, ""))
        return pups


def told_of(litters: list[Litter], *, asof: datetime.date) -> Mapping[int, tuple[int, str]]:
    """How many pups of each were born alive, and every pup in words; kept until something is
    written that is about them."""
    keys = tuple(one.pk for one in litters)

    def read() -> dict[int, tuple[int, str]]:
        return {
            key: (
                sum(one.pup.alive for one in pups),
                format_html_join(", ", "{}", [(pup_words(one),) for one in pups]),
            )
            for key, pups in queries.pups_of(litters, asof=asof).items()
        }

    about = about_pups_of(Litter.objects.filter(pk__in=keys))
    return kept_from_page_to_page(("litters told", keys, asof), read, about, alike="litters told")


def pup_words(one: PupReading) -> str:
    """Its name and how it stands, or that it was dead."""
    if one.pup.animal is None:
        return format_html('<span class="soft">{}</span>', tell("one dead"))
    return format_html('{} <span class="soft">{}</span>', linked(one.pup.animal), one.standing)


ALL_LITTERS = ListOf(
    table=LitterTable,
    narrowed=LitterFilter,
    rows=Litter.objects.select_related("dam", "recorded_by").annotate(
        pup_count=Count("pups", filter=Q(pups__withdrawn_at__isnull=True))
    ),
    first=message(
        "No birth is recorded yet. Record the first; its living pups become animals with parents."
    ),
)
