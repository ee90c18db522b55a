"""What a table may name: animals, tanks, people, species, strains, signs; each read once."""

from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property
from typing import Generic, TypeVar

from django.core.exceptions import ValidationError
from django.db.models import Model

from breeding.animals.models import Animal, Species, Strain
from breeding.buyers.models import ON_RECORD, Contact
from breeding.housing.models import Tank, WaterSource
from breeding.pairings.models import SignKind
from breeding.records.incoming.cells import plain
from breeding.records.incoming.guesses import near
from breeding.records.incoming.problems import shown
from breeding.traits.models import Trait
from breeding.words.language import message, tell
from breeding.words.numbers import joined

Record = TypeVar("Record", bound=Model)
_MOST_OFFERED = 8


class Named(Generic[Record]):
    """Records of one kind by every word that means them; `none` says that a word means no one."""

    def __init__(self, none: str, records: Iterable[tuple[Record, Iterable[str]]]) -> None:
        self.none = none
        self._by_word: dict[str, list[Record]] = {}
        self._first: dict[str, str] = {}
        for record, words in records:
            self.add(record, words)

    def add(self, record: Record, words: Iterable[str]) -> None:
        spelled = [word for word in words if word]
        for word in spelled:
            found = self._by_word.setdefault(plain(word), [])
            if record not in found:
                found.append(record)
            self._first.setdefault(word, spelled[0])

    def find(self, typed: str) -> Record:
        """The one record that is meant. Raises ValidationError when it is none or several."""
        found = self._by_word.get(plain(typed), [])
        if len(found) == 1:
            return found[0]
        if found:
            names = joined([str(getattr(one, "full_name", one)) for one in found[:4]], "or")
            raise ValidationError(
                tell("{typed} can be {names}; which one?", typed=shown(typed), names=names)
            )
        raise ValidationError(tell(self.none, typed=shown(typed)))

    def near(self, typed: str) -> str:
        """The word of the record that was most likely meant, as it is best written."""
        return near(typed, self._first)

    def offered(self, typed: str) -> Sequence[tuple[str, str]]:
        """What may be chosen in its place: those it can be, or all when they are few."""
        found = self._by_word.get(plain(typed), [])
        if not found and len(self._first) > 40 * _MOST_OFFERED:
            return ()
        among = found or [one for records in self._by_word.values() for one in records]
        words: Mapping[str, str] = {
            str(getattr(one, "code", one)): str(getattr(one, "full_name", one)) for one in among
        }
        return list(words.items())


class Known:
    """The records that a table can name, by kind."""

    @cached_property
    def animals(self) -> Named[Animal]:
        """By code, and those whose name is nobody's code by name."""
        found = list(Animal.objects.all())
        codes = {plain(one.code) for one in found}
        named = ((one, [one.code, *_unless(one.call_name, codes)]) for one in found)
        return Named(message("{typed} is not an animal on record."), named)

    @cached_property
    def tanks(self) -> Named[Tank]:
        return Named(
            message("{typed} is not a tank on record."),
            ((one, [one.name]) for one in Tank.objects.all()),
        )

    @cached_property
    def sources(self) -> Named[WaterSource]:
        return Named(
            message("{typed} is not a source water on record."),
            ((one, [one.name]) for one in WaterSource.objects.all()),
        )

    @cached_property
    def people(self) -> Named[Contact]:
        known = Contact.objects.filter(ON_RECORD)
        return Named(
            message("{typed} is not a person on record."), ((one, [one.name]) for one in known)
        )

    @cached_property
    def species(self) -> Named[Species]:
        return Named(
            message("{typed} is not a species on record."),
            (
                (one, [one.accepted_name, one.short_name, one.trade_name, one.key])
                for one in Species.objects.all()
            ),
        )

    @cached_property
    def strains(self) -> Named[Strain]:
        return Named(
            message("{typed} is not a strain on record."),
            ((one, [one.name]) for one in Strain.objects.all()),
        )

    @cached_property
    def traits(self) -> Named[Trait]:
        return Named(
            message("{typed} is no trait on record; write it down first."),
            ((one, [one.name]) for one in Trait.objects.all()),
        )

    @cached_property
    def signs(self) -> Named[SignKind]:
        return Named(
            message("{typed} is not a sign on record."),
            ((one, [one.label, plain(one.key)]) for one in SignKind.objects.all()),
        )


def _unless(name: str, codes: set[str]) -> list[str]:
    return [name] if name and plain(name) not in codes else []
