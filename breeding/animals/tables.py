"""The list of animals."""

from collections.abc import Mapping, Sequence
from operator import itemgetter
from typing import Any

import django_tables2 as tables
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.html import format_html
from django_tables2.data import TableListData
from django_tables2.utils import OrderBy

from breeding.animals import lineage
from breeding.animals.models import Animal
from breeding.animals.pictures.known import known_of
from breeding.words.days import born_words
from breeding.words.numbers import percent
from breeding.words.shares import shares_words


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


class AnimalTable(tables.Table):
    """One row an animal; all figures come from the lineage, and words only for the rows shown."""

    face = tables.Column(empty_values=(), orderable=False, verbose_name="")
    name = tables.Column(empty_values=(), order_by=("sort_name", "code"), verbose_name="Animal")
    sex = tables.Column()
    species = tables.Column(empty_values=(), orderable=False)
    born = tables.Column(empty_values=(), order_by=("born_key",))
    inbreeding = tables.Column(
        verbose_name="F", attrs={"th": {"class": "num"}, "td": {"class": "num"}}
    )
    generations = tables.Column(verbose_name="Known", attrs={"td": {"class": "known"}})
    state = tables.Column()

    class Meta:
        attrs = {"class": "animals"}
        empty_text = "No animal matches. Change the search, or write down a new animal."

    def __init__(self, *args: Any, species_names: Mapping[int, str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.species_names = species_names
        self.lineage = lineage.current()

    def render_face(self, record: Any) -> str:
        return render_to_string("animals/_face.html", {"portrait_id": record["portrait_id"]})

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
        return {"F": "female", "M": "male"}.get(value, "unknown")

    def render_species(self, record: Any) -> str:
        return shares_words(self.lineage.shares.get(record["pk"], {}), self.species_names)

    def render_born(self, record: Any) -> str:
        return born_words(record["born_on"], record["born_precision"])

    def render_inbreeding(self, value: float) -> str:
        return percent(value)

    def render_generations(self, record: Any) -> str:
        if record["pk"] not in self.lineage.pedigree:  # written down a moment ago
            return ""
        known = known_of(self.lineage, record["pk"])
        picture = render_to_string("animals/_known_picture.html", {"known": known})
        return format_html("{}{} gen.", picture, f"{known.equivalent_generations:.1f}")

    def render_state(self, value: str) -> str:
        return str(Animal.State(value).label)
