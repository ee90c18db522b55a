"""The lists of tanks and of water tests."""

from collections.abc import Callable
from typing import Any

import django_filters as filters
from django.db.models import (
    Case,
    Count,
    F,
    FloatField,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    When,
)
from django.db.models.functions import Coalesce
from django.utils.html import format_html, format_html_join
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from breeding.housing.models import Tank, WaterSystem, WaterTest
from breeding.housing.queries import present_stays
from breeding.housing.sizes import size_words, volume_words
from breeding.housing.water.fit import ION_PER_NITROGEN, WaterFit
from breeding.housing.water.queries import (
    standing_tests,
    values_said,
    water_fits,
)
from breeding.housing.water.said import ammonia_words
from breeding.program.lists.narrowing import (
    ChosenFilter,
    DayFilter,
    ListFilter,
    PersonFilter,
    SearchFilter,
    counting_filter,
)
from breeding.program.lists.page import ListOf, ListTable, column, computed, linked, with_withdrawal
from breeding.program.lists.taken_out import figures_of
from breeding.program.templatetags.formats import moment
from breeding.words.language import message

OCCUPIED = {
    "any": (_("any"), None),
    "taken": (_("somebody in it"), Q(animal_count__gt=0)),
    "free": (_("empty"), Q(animal_count=0)),
}
IN_USE = {
    "in_use": (_("in use"), Q(withdrawn_at__isnull=True)),
    "given_up": (_("given up"), Q(withdrawn_at__isnull=False)),
    "all": (pgettext_lazy("tanks in use and given up", "both"), None),
}
FOUND = Q(ammonia_mg_l__gt=0) | Q(nitrite_mg_l__gt=0)
READS = {
    "any": (_("anything"), None),
    "found": (_("ammonia or nitrite found"), FOUND),
    "none": (_("neither found"), Q(ammonia_mg_l=0, nitrite_mg_l=0)),
}


class TankFilter(ListFilter):
    """By name or note, what a tank is for, the water it shares, and whether somebody is in it."""

    q = SearchFilter("name", "note", placeholder=_("name or note"))
    kind = filters.ChoiceFilter(
        choices=Tank.Kind.choices,
        empty_label=_("any"),
        label=pgettext_lazy("what a tank is for", "For"),
    )
    system = filters.ModelChoiceFilter(
        queryset=WaterSystem.objects.all(), empty_label=_("any"), label=_("Shared water")
    )
    occupied = ChosenFilter(OCCUPIED, label=_("Animals"))
    in_use = ChosenFilter(IN_USE, label=_("Tanks"))


class TankTable(ListTable):
    """One row a tank: what it is, who is in it, and how its water was."""

    list_key, one, many = "housing:tanks", message("tank"), message("tanks")
    sorted_by = "name"
    always = ("name",)
    further = ("size", "note")

    name = column(kind="name", verbose_name=_("Tank"))
    kind = column(verbose_name=pgettext_lazy("what a tank is for", "For"))
    size = computed(verbose_name=_("Size"))
    volume_litres = column(verbose_name=_("Volume"))
    system = column(_("shares"), order_by=("system__name",), verbose_name=_("Shared water"))
    animal_count = column(_("animals"), is_number=True, verbose_name=_("Animals"))
    animals = computed(verbose_name=_("Who"))
    last_tested = column(_("tested"), verbose_name=_("Tested"))
    water = computed(_("water"), verbose_name=_("Water"))
    note = column(orderable=False)

    def gather(self, rows: list[Tank]) -> None:
        self.fits: dict[int, WaterFit] = water_fits(rows, self.today, program=self.program)
        self.inside: dict[int, list[str]] = {}
        stays = present_stays().filter(tank__in=[tank.pk for tank in rows])
        order = ("side", "animal__call_name", "animal__code")
        for stay in stays.select_related("animal").order_by(*order):
            self.inside.setdefault(stay.tank_id, []).append(linked(stay.animal, stay.animal.name))

    def render_name(self, record: Tank) -> str:
        return with_withdrawal(linked(record), record)

    def render_size(self, record: Tank) -> str:
        sides = (record.length_mm, record.width_mm, record.height_mm)
        return size_words(*sides, self.program.length_unit)

    def render_volume_litres(self, value: int) -> str:
        return volume_words(value, self.program.volume_unit)

    def render_animals(self, record: Tank) -> str:
        return format_html_join(", ", "{}", [(one,) for one in self.inside.get(record.pk, [])])

    def render_last_tested(self, value: Any) -> str:
        return moment(value, self.today)

    def render_water(self, record: Tank) -> str:
        fit = self.fits[record.pk]
        look = {True: "soft", False: "now", None: "soon"}[fit.fit]
        return format_html('<span class="{}" title="{}">{}</span>', look, fit.because, fit.verdict)


class WaterTestFilter(ListFilter):
    """By tank, what was found, the days, who tested, and the note."""

    folded = ("since", "until", "by", "counting")

    q = SearchFilter("tank__name", "note", placeholder=_("tank or note"))
    tank = filters.ModelChoiceFilter(
        queryset=Tank.every.all(), empty_label=_("any"), label=_("Tank")
    )
    reads = ChosenFilter(READS, label=_("Reads"))
    since = DayFilter("tested_at")
    until = DayFilter("tested_at", is_end=True)
    by = PersonFilter()
    counting = counting_filter()


def reading(what: str, said: str) -> Callable[[ListTable, Any], str]:
    """What a test read of one quantity, as typed with its unit."""

    def render(table: ListTable, record: WaterTest) -> str:
        values = {one.what: one.value for one in values_said(record, table.program)}
        return values.get(said, "")

    render.__name__ = f"render_{what}"
    return render


class WaterTestTable(ListTable):
    """One row a test of any tank, the latest first; sorted by mg/L of the ion."""

    list_key, one, many = "housing:water_tests", message("water test"), message("water tests")
    explains = ("ammonia-share", "carbonate-hardness", "conductivity")
    sorted_by = "-tested_at"
    always = ("tested_at",)
    further = ("conductivity", "kh", "harmful", "recorded_by", "note")

    tested_at = column(kind="name", verbose_name=_("Tested"))
    tank = column(order_by=("tank__name",))
    temperature = computed(order_by=("temperature_c",), verbose_name=_("Temperature"))
    ph = computed(_("pH"), order_by=("ph",), verbose_name=_("pH"))
    ammonia = computed(_("ammonia"), order_by=("ammonia_ion",), verbose_name=_("Ammonia"))
    nitrite = computed(_("nitrite"), order_by=("nitrite_ion",), verbose_name=_("Nitrite"))
    nitrate = computed(_("nitrate"), order_by=("nitrate_ion",), verbose_name=_("Nitrate"))
    conductivity = computed(order_by=("conductivity_us_cm",), verbose_name=_("Conductivity"))
    kh = computed(order_by=("kh_dh",), verbose_name=_("KH"))
    harmful = computed(verbose_name=_("Un-ionised ammonia"))
    recorded_by = column(_("by"), orderable=False, verbose_name=_("By"))
    note = column(orderable=False)

    def render_tested_at(self, record: WaterTest) -> str:
        words = format_html(
            '<a href="{}">{}</a>', record.get_absolute_url(), moment(record.tested_at, self.today)
        )
        return with_withdrawal(words, record)

    def value_tested_at(self, record: WaterTest) -> str:
        return with_withdrawal(figures_of(record.tested_at), record)

    def render_tank(self, value: Tank) -> str:
        return linked(value)

    def render_harmful(self, record: WaterTest) -> str:
        return ammonia_words(record)

    render_temperature = reading("temperature", "temperature")
    render_ph = reading("ph", "ph")
    render_ammonia = reading("ammonia", "ammonia")
    render_nitrite = reading("nitrite", "nitrite")
    render_nitrate = reading("nitrate", "nitrate")
    render_conductivity = reading("conductivity", "conductivity")
    render_kh = reading("kh", "kh")


def with_ions() -> QuerySet[WaterTest]:
    """Every test with its values in mg/L of the ion, in whichever unit they were typed."""
    ions = {
        f"{what}_ion": Case(
            When(**{f"{what}_as": "N"}, then=F(f"{what}_mg_l") * ratio),
            default=F(f"{what}_mg_l"),
            output_field=FloatField(),
        )
        for what, ratio in ION_PER_NITROGEN.items()
    }
    return WaterTest.objects.select_related("tank", "recorded_by").annotate(**ions)


inside = present_stays().filter(tank=OuterRef("pk")).order_by().values("tank")
newest_test = standing_tests().filter(tank=OuterRef("pk")).order_by("-tested_at")
ALL_TANKS = ListOf(
    table=TankTable,
    narrowed=TankFilter,
    rows=Tank.every.select_related("system").annotate(
        animal_count=Coalesce(Subquery(inside.annotate(count=Count("pk")).values("count")), 0),
        last_tested=Subquery(newest_test.values("tested_at")[:1]),
    ),
    first=message("No tank is written down yet. Write down the first; then move the animals in."),
)
ALL_WATER_TESTS = ListOf(
    table=WaterTestTable,
    narrowed=WaterTestFilter,
    rows=with_ions(),
    first=message("No water is tested yet. Open a tank and log its first test."),
)
