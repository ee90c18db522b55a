"""The list of animals."""

from collections.abc import Mapping, Sequence
from operator import itemgetter
from typing import Any

from django.urls import reverse
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext_lazy as _
from django_tables2.data import TableListData
from django_tables2.utils import OrderBy

from breeding.animals import lineage, queries
from breeding.animals.filters import AnimalFilter
from breeding.animals.models import Animal
from breeding.animals.parents.descent import short_inbreeding
from breeding.animals.pictures.known import Known, known_of
from breeding.animals.templatetags.faces import face
from breeding.program.lists.page import ListOf, ListTable, column, computed, linked
from breeding.words.days import born_words
from breeding.words.descent.shares import shares_words
from breeding.words.language import message, tell
from breeding.words.numbers import written


class AnimalRows(TableListData):
    """Rows put in order by plain keys: ten thousand take a few milliseconds.

    Animals that are equal in what is asked for stay in the order of their names.
    """

    _KEYS: Mapping[str, tuple[str, ...]] = {"name": ("sort_name", "code"), "born": ("born_key",)}

    def order_by(self, aliases: Sequence[str]) -> None:
        for alias in reversed(aliases):
            order = OrderBy(alias)
            keys = self._KEYS.get(order.bare, (order.bare,))
            self.data.sort(key=itemgetter(*keys), reverse=order.is_descending)


def _picture(known: Known) -> SafeString:
    """As `animals/parents/_known_picture.html` draws it, for the many rows of a list."""
    bars = format_html_join(
        "",
        '<rect class="place" x="{0}" y="5" width="80" height="100"/>'
        '<rect class="found" x="{0}" y="{1}" width="80" height="{2}"/>',
        ((bar.left, bar.top, bar.percent) for bar in known.bars),
    )
    return format_html(
        '<svg class="known-picture" viewBox="0 0 270 110" width="34" height="14" role="img"'
        ' aria-label="{0}"><title>{0}</title>{1}</svg>',
        known.words,
        bars,
    )


class AnimalTable(ListTable):
    """One row an animal; all figures come from the lineage, and words only for the rows shown."""

    list_key, one, many = "animals:index", message("animal"), message("animals")
    explains = ("F", "known-ancestry")
    sorted_by = "name"
    always = ("face", "name")
    further = ("strain", "sire", "dam")

    face = computed(kind="face-cell", verbose_name="")
    name = computed(kind="name", order_by=("sort_name", "code"), verbose_name=_("Animal"))
    sex = column()
    species = computed()
    born = computed(_("born"), order_by=("born_key",))
    inbreeding = column("F", is_number=True, verbose_name="F")
    generations = column(_("known"), kind="known", verbose_name=_("Known"))
    state = column()
    strain = computed(_("strain"))
    sire = computed(_("sire"))
    dam = computed(_("dam"))

    def gather(self, rows: list[dict[str, Any]]) -> None:
        self.lineage = lineage.current()
        self.species_names = queries.species_names()
        self.kin = {}
        self.pictures: dict[Known, SafeString] = {}  # many animals have the same
        if any(map(self.shows, self.further)):
            found = Animal.objects.select_related("strain", "sire", "dam")
            self.kin = found.in_bulk([row["pk"] for row in rows])

    def render_face(self, record: Any) -> str:
        return face(record["portrait_id"], record["sex"])

    def render_name(self, record: Any) -> str:
        name = record["call_name"] or record["code"]
        code = record["code"] if record["call_name"] else ""
        return format_html(
            '<a href="{}">{}</a> <span class="soft">{}</span>',
            reverse("animals:detail", args=[record["pk"]]),
            name,
            code,
        )

    def render_sex(self, value: str) -> str:
        return str(Animal.Sex(value).label)

    def render_species(self, record: Any) -> str:
        return shares_words(self.lineage.shares.get(record["pk"], {}), self.species_names)

    def render_born(self, record: Any) -> str:
        return born_words(record["born_on"], record["born_precision"])

    def value_born(self, record: Any) -> str:
        """In figures, and only those that are known: 2026-03-31, 2026-03, 2026."""
        known = {"day": 10, "month": 7, "year": 4}.get(record["born_precision"], 0)
        return f"{record['born_on'] or ''}"[:known]

    def render_inbreeding(self, record: Any) -> str:
        if record["pk"] not in self.lineage.pedigree:  # written down a moment ago
            return ""
        return short_inbreeding(self.lineage, record["pk"])

    def render_generations(self, record: Any) -> str:
        if record["pk"] not in self.lineage.pedigree:  # written down a moment ago
            return ""
        known = known_of(self.lineage, record["pk"])
        if known not in self.pictures:
            self.pictures[known] = _picture(known)
        picture = self.pictures[known]
        return format_html(
            "{}{}",
            picture,
            tell("{number} gen.", number=written(f"{known.equivalent_generations:.1f}")),
        )

    def value_generations(self, record: Any) -> str:
        """The figure alone, where the list is taken out."""
        if record["pk"] not in self.lineage.pedigree:
            return ""
        return f"{known_of(self.lineage, record['pk']).equivalent_generations:.1f}"

    def render_state(self, value: str) -> str:
        return str(Animal.State(value).label)

    def render_strain(self, record: Any) -> str:
        return str(self.kin[record["pk"]].strain or "")

    def render_sire(self, record: Any) -> str:
        sire = self.kin[record["pk"]].sire
        return linked(sire) if sire else ""

    def render_dam(self, record: Any) -> str:
        dam = self.kin[record["pk"]].dam
        return linked(dam) if dam else ""


ALL_ANIMALS = ListOf(
    table=AnimalTable,
    narrowed=AnimalFilter,
    rows=Animal.objects.all(),
    first=message("No animal is on record yet. Write down the first, or bring in a table."),
    as_rows=lambda found: AnimalRows(queries.animal_rows(found)),
)
