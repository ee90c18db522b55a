"""The list of everything that was changed."""

from contextlib import suppress
from typing import Any

import django_filters as filters
from auditlog.models import LogEntry
from django import forms
from django.contrib.contenttypes.models import ContentType
from django.core.exceptions import ValidationError
from django.db.models import Q, QuerySet
from django.urls import NoReverseMatch
from django.utils.html import format_html, format_html_join
from django.utils.text import capfirst

from breeding.animals.models import Animal
from breeding.program.acts.history import ACTS, change_words, names_in
from breeding.program.lists.narrowing import DayFilter, ListFilter, PersonFilter, SearchFilter
from breeding.program.lists.page import ListOf, ListTable, column, computed, linked
from breeding.program.templatetags.formats import moment
from breeding.records.apps import RecordsConfig


class AnimalAskedField(forms.CharField):
    """A code or a name; cleans to the animals that are called so."""

    def clean(self, value: Any) -> list[Animal]:
        text = super().clean(value).strip()
        if not text:
            return []
        found = list(Animal.objects.filter(Q(code__iexact=text) | Q(call_name__iexact=text)))
        if not found:
            raise ValidationError(
                f"“{text}” is nobody here; allowed is the code or the name of an animal on record."
            )
        return found


class AnimalAskedFilter(filters.Filter):
    """By an animal: itself and all that was written of it."""

    field_class = AnimalAskedField

    def filter(self, rows: QuerySet[Any], value: list[Animal]) -> QuerySet[Any]:
        return rows.filter(about(value)) if value else rows


def about(animals: list[Animal]) -> Q:
    """Entries on these animals and on whatever was written of them: stays, sightings, sheets."""
    found = Q(pk__in=[])
    for model in RecordsConfig.kept_models():
        kind = ContentType.objects.get_for_model(model)
        if model is Animal:
            found |= Q(content_type=kind, object_id__in=[one.pk for one in animals])
            continue
        named = [one.name for one in model._meta.fields if one.related_model is Animal]
        if named:
            of_them = Q(pk__in=[])
            for name in named:
                of_them |= Q(**{f"{name}__in": animals})
            rows = model._base_manager.filter(of_them).values("pk")
            found |= Q(content_type=kind, object_id__in=rows)
    return found


def kinds() -> list[tuple[str, str]]:
    """Every kind of record whose changes are kept, by name."""
    models = RecordsConfig.kept_models()
    named = [(one._meta.label_lower, capfirst(str(one._meta.verbose_name))) for one in models]
    return sorted(named, key=lambda one: one[1])


class HistoryFilter(ListFilter):
    """By what the record is called, the animal, the kind of record, the act, who and when."""

    folded = ("act", "by", "since", "until")
    folded_words = "By act, person and day"

    q = SearchFilter("object_repr", placeholder="what it is called")
    animal = AnimalAskedFilter(label="Animal", max_length=60, strip=True)
    kind = filters.ChoiceFilter(
        method="of_kind", choices=kinds, empty_label="any", label="Kind of record"
    )
    act = filters.ChoiceFilter(
        field_name="action",
        choices=[(str(key), words) for key, words in ACTS.items()],
        empty_label="any",
        label="Act",
    )
    by = PersonFilter("actor")
    since = DayFilter("timestamp")
    until = DayFilter("timestamp", is_end=True)

    def of_kind(self, rows: QuerySet[Any], _: str, label: str) -> QuerySet[Any]:
        return rows.filter(content_type=ContentType.objects.get_by_natural_key(*label.split(".")))


class HistoryTable(ListTable):
    """One row a change, the latest first."""

    list_key, one, many = "records:history", "change", "changes"
    sorted_by = "-timestamp"
    always = ("which",)

    which = computed(kind="name", order_by=("object_repr",), verbose_name="Which record")
    kind = computed(order_by=("content_type__model",), verbose_name="Kind")
    action = column(verbose_name="Act")
    what = computed(verbose_name="What changed")
    timestamp = column(verbose_name="When")
    actor = column("by", order_by=("actor__first_name", "actor__username"), verbose_name="By")

    def gather(self, rows: list[LogEntry]) -> None:
        self.names = names_in(rows)

    def render_which(self, record: LogEntry) -> str:
        model = record.content_type.model_class()
        is_gone = record.action == LogEntry.Action.DELETE
        if is_gone or not hasattr(model, "get_absolute_url") or record.object_id is None:
            return str(record.object_repr)
        with suppress(NoReverseMatch):  # an address that hangs on more than the key is left out
            return linked(model(pk=record.object_id), record.object_repr)
        return str(record.object_repr)

    def render_kind(self, record: LogEntry) -> str:
        return str(record.content_type.model_class()._meta.verbose_name)

    def render_action(self, record: LogEntry) -> str:
        return ACTS.get(record.action, "read")

    def render_what(self, record: LogEntry) -> str:
        said = [(one,) for one in change_words(record, self.names, self.program)]
        return format_html('<span class="changed">{}</span>', format_html_join("; ", "{}", said))

    def render_timestamp(self, value: Any) -> str:
        return moment(value, self.today)


def whole_history() -> ListOf:
    """Every change of a record whose changes are kept."""
    of_kept = ContentType.objects.get_for_models(*RecordsConfig.kept_models()).values()
    return ListOf(
        table=HistoryTable,
        narrowed=HistoryFilter,
        rows=LogEntry.objects.filter(content_type__in=of_kept).select_related(
            "actor", "content_type"
        ),
        first="Nothing was changed yet. From the first record on, every change says who and when.",
    )
