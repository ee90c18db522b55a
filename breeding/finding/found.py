"""What is found by what was typed: groups of records, the likeliest first, for who may read it."""

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from django.db import models
from django.urls import reverse

from breeding.finding import ranking
from breeding.finding.candidates import MOST, candidates
from breeding.finding.index.asking import Hit, Index
from breeding.finding.letters import asked_words, compact
from breeding.program.acts.mending import kind_of
from breeding.program.found import Found, all_found, found_named, said_beside
from breeding.program.models import Person, Withdrawable

OF_A_GROUP = 6  # shown of each at first
CARD = re.compile(r"(?:https?://[^/\s]+)?/?(go/[at]\d{1,18})/?\Z")  # what a card leads to


@dataclass
class Result:
    """One record that was found, and how well it fits."""

    found: Found
    pk: int
    rank: ranking.Rank
    entries: list[Hit]
    asked: tuple[str, ...]
    record: Any = None
    leads_to: str = ""  # a route of what is to be done with it, instead of its page
    beside: list[str] = field(default_factory=list)

    @property
    def is_withdrawn(self) -> bool:
        return self.entries[0].is_withdrawn

    @property
    def order(self) -> tuple[Any, ...]:
        return self.rank.level, self.is_withdrawn, self.rank.order, -self.pk

    @property
    def address(self) -> str:
        """The page it stands on, or the page of what is to be done with it."""
        if self.leads_to:
            return reverse(self.leads_to, args=[self.pk])
        if self.found.group != "notes" and hasattr(self.record, "get_absolute_url"):
            return str(self.record.get_absolute_url())
        kind = kind_of(self.record)
        return kind.crumb(self.record).address if kind else str(self.record.get_absolute_url())

    @cached_property
    def excerpt(self) -> tuple[str, str, str] | None:
        """Where in its texts the words stand; None when it was found by its name."""
        texts = [one for one in self.entries if one.words]
        if not texts or (self.found.names and self.rank.level < ranking.IN_TEXT):
            return None
        best = max(texts, key=lambda one: sum(word in one.words for word in self.asked))
        return ranking.excerpt(self.asked, str(getattr(self.record, best.part)))

    @property
    def is_meant_alone(self) -> bool:
        """Whether a code of its own was typed, which no other record has."""
        whole = compact("".join(self.asked))
        codes = [one.compact for one in self.entries if one.part in self.found.codes]
        return not self.is_withdrawn and whole in codes


@dataclass
class Group:
    """Those of one sort: the ones shown, and how many there are."""

    name: str
    shown: list[Result]
    total: int

    @property
    def is_more(self) -> bool:
        return self.total > len(self.shown)


@dataclass
class Answer:
    """Everything found, in groups."""

    asked: tuple[str, ...]
    groups: list[Group]
    opens: str = ""  # the page to show at once, when just one record is meant
    is_bounded: bool = False  # there may be more than were looked at

    @property
    def total(self) -> int:
        return sum(group.total for group in self.groups)


def find_for(typed: str, person: Person, kind: str, route: str) -> Answer:
    """Those of one kind, each leading to what is to be done with it; none that is withdrawn."""
    asked = asked_words(typed)
    index = Index([kind] if kind in kinds_for(person) else [], with_withdrawn=False)
    ranked = _ranked(index, candidates(index, asked), asked)
    groups = list(_grouped(ranked, "animals" if kind == "animal" else "tanks"))
    shown = [one for group in groups for one in group.shown]
    _load(shown)
    for one in shown:
        one.leads_to = route
    return Answer(asked, groups, opens=shown[0].address if len(shown) == 1 else "")


def find(typed: str, person: Person, *, only: str = "") -> Answer:
    """All that this person may read and may have meant; `only` one group of it, whole."""
    if card := CARD.match(typed.strip()):
        return Answer((), [], opens=f"/{card[1]}")
    asked = asked_words(typed)
    index = Index(kinds_for(person), with_withdrawn=person.may_write)
    keys = candidates(index, asked)
    ranked = _ranked(index, keys, asked)
    groups = list(_grouped(ranked, only))
    _load(one for group in groups for one in group.shown)
    for group in groups:  # a row that went away a moment ago
        group.shown = [one for one in group.shown if one.record is not None]
    groups = [group for group in groups if group.shown]
    meant = [one for group in groups for one in group.shown if one.rank.is_exact]
    counting = [one for one in meant if not one.is_withdrawn]
    opens = counting[0].address if len(counting) == 1 and counting[0].is_meant_alone else ""
    return Answer(asked, groups, opens, is_bounded=len(keys) >= MOST)


def kinds_for(person: Person) -> list[str]:
    """The kinds of records that this person may read."""
    may = {"all": True, "buyers": person.may_see_buyers, "keepers": person.may_write}
    return [one.kind for one in all_found() if may[one.readers]]


def _ranked(index: Index, keys: list[tuple[str, int]], asked: tuple[str, ...]) -> list[Result]:
    entries: dict[tuple[str, int], list[Hit]] = {}
    for hit in index.all_of(keys):
        entries.setdefault(hit.key, []).append(hit)
    ranked = []
    for (kind, pk), hits in entries.items():
        found = found_named(kind)
        names, texts = (one.name for one in hits if one.name), (one.words for one in hits)
        rank = ranking.rank_of(asked, names, (text for text in texts if text))
        if found is not None and rank.fits:
            ranked.append(Result(found, pk, rank, hits, asked))
    return sorted(ranked, key=lambda one: one.order)


def _grouped(ranked: list[Result], only: str) -> Iterable[Group]:
    """The group of the likeliest first."""
    groups: dict[str, list[Result]] = {}
    for one in ranked:
        groups.setdefault(one.found.group, []).append(one)
    for name, results in groups.items():
        if not only or name == only:
            yield Group(name, results if only else results[:OF_A_GROUP], len(results))


def _load(results: Iterable[Result]) -> None:
    """The records that are shown: one query a kind, and what rooms above say beside them."""
    by_kind: dict[str, list[Result]] = {}
    for one in results:
        by_kind.setdefault(one.found.kind, []).append(one)
    for kind, ones in by_kind.items():
        keys = [one.pk for one in ones]
        records = _rows(ones[0].found).in_bulk(keys)
        beside = said_beside(kind, keys)
        for one in ones:
            one.record, one.beside = records.get(one.pk), beside.get(one.pk, [])


def _rows(found: Found) -> "models.QuerySet[Any]":
    related = found.related
    if not found.template and (kind := kind_of(found.model())):
        related = kind.related
    if issubclass(found.model, Withdrawable):
        related = (*related, "withdrawn_by")
    return found.model._base_manager.select_related(*related)
