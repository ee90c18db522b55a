"""What the index holds of something, a bounded number of entries each time.

The same questions of both databases: SQLite's full text answers some of them by its own index.
"""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from typing import Literal

from django.db import connection
from django.db.models import Case, Q, QuerySet, Value, When
from django.db.models.expressions import Combinable
from django.db.models.fields import IntegerField
from django.db.models.functions import Length

from breeding.finding.index import written
from breeding.finding.letters import trigrams
from breeding.finding.models import Built, Entry

Column = Literal["name", "words"]
_COLUMNS = ("kind", "record", "part", "name", "words", "compact", "is_withdrawn")
LEAST_LETTERS = 3  # of what an index by three letters finds


@dataclass(frozen=True)
class Hit:
    """One entry: what stands in one column of a record."""

    kind: str
    record: int
    part: str
    name: str
    words: str
    compact: str
    is_withdrawn: bool

    @property
    def key(self) -> tuple[str, int]:
        return self.kind, self.record


class Index:
    """The entries that somebody may read: of these kinds, and those of withdrawn records or not."""

    def __init__(self, kinds: Collection[str], *, with_withdrawn: bool) -> None:
        self.kinds, self.with_withdrawn = sorted(kinds), with_withdrawn
        built = Built.objects.filter(pk=1).first()
        self.is_fts5 = built is not None and built.engine == Built.Engine.FTS5

    def called(self, compact: str, most: int) -> list[Hit]:
        """Whatever is called just so."""
        return _hits(self._entries().filter(compact=compact).order_by("-pk")[:most])

    def beginning(self, compact: str, most: int) -> list[Hit]:
        """Whatever's name begins so, the shortest first."""
        begins = Q(compact__startswith=compact)
        if connection.vendor == "sqlite":  # its LIKE uses no index
            begins = Q(compact__gte=compact, compact__lt=f"{compact}\U0010ffff")
        found = self._entries().filter(begins).order_by(Length("compact"), "compact")
        return _hits(found[:most])

    def holding(self, word: str, column: Column, most: int) -> list[Hit]:
        """Where a word stands in a name or in a text, the last written first."""
        if self.is_fts5 and len(word) >= LEAST_LETTERS:
            return list(self._by_fts5(f"{column} : {_phrase(word)}", "rowid DESC", most))
        found = self._entries().filter(**{f"{column}__contains": word})
        return _hits(found.order_by("-pk")[:most])

    def alike(self, word: str, column: Column, most: int) -> list[Hit]:
        """Where most of three letters of a word stand that follow each other."""
        parts = trigrams(word)
        if not parts:
            return []
        if self.is_fts5:
            any_of = " OR ".join(map(_phrase, parts))
            return list(self._by_fts5(f"{column} : ({any_of})", "rank", most))
        any_of_them = Q()
        how_many: Combinable = Value(0, IntegerField())
        for part in parts:
            holds = Q(**{f"{column}__contains": part})
            any_of_them |= holds
            how_many += Case(When(holds, then=1), default=0, output_field=IntegerField())
        found = self._entries().filter(any_of_them).annotate(how_many=how_many)
        return _hits(found.order_by("-how_many", "-pk")[:most])

    def short_names(self, word: str, spread: int, most: int) -> list[Hit]:
        """Names with the same first letter and about as long: three letters find none of these."""
        begins = Q(compact__startswith=word[:1])
        if connection.vendor == "sqlite":
            begins = Q(compact__gte=word[:1], compact__lt=f"{word[:1]}\U0010ffff")
        named = self._entries().filter(begins).annotate(long=Length("compact"))
        near = named.filter(long__gte=len(word) - spread, long__lte=len(word) + spread)
        return _hits(near.order_by("compact")[:most])

    def all_of(self, keys: Collection[tuple[str, int]]) -> list[Hit]:
        """Every entry of these records."""
        by_kind: dict[str, list[int]] = {}
        for kind, record in keys:
            by_kind.setdefault(kind, []).append(record)
        wanted = Q()
        for kind, records in by_kind.items():
            wanted |= Q(kind=kind, record__in=records)
        return _hits(self._entries().filter(wanted)) if by_kind else []

    def _entries(self) -> "QuerySet[Entry]":
        found = Entry.objects.filter(kind__in=self.kinds)
        return found if self.with_withdrawn else found.filter(is_withdrawn=False)

    def _by_fts5(self, match: str, order: str, most: int) -> Iterator[Hit]:
        columns = ", ".join(f"e.{one}" for one in _COLUMNS)
        kinds = ", ".join(["%s"] * len(self.kinds))
        counting = "" if self.with_withdrawn else "AND NOT e.is_withdrawn "
        with connection.cursor() as cursor:
            cursor.execute(
                f"SELECT {columns} FROM {written.WORDS} w JOIN {written.TABLE} e ON e.id = w.rowid "
                f"WHERE {written.WORDS} MATCH %s AND e.kind IN ({kinds}) {counting}"
                f"ORDER BY w.{order} LIMIT %s",
                [match, *self.kinds, most],
            )
            yield from (Hit(*row) for row in cursor.fetchall())


def _phrase(word: str) -> str:
    """As full text takes it whole, whatever stands in it."""
    return '"' + word.replace('"', '""') + '"'


def _hits(found: "QuerySet[Entry]") -> list[Hit]:
    return [Hit(*row) for row in found.values_list(*_COLUMNS)]
