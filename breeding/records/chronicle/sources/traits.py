"""What traits tell: what was seen of one on an animal, by eye or by a test."""

from breeding.records.chronicle.entry import Telling, Told, phrase
from breeding.records.chronicle.kinds import SEEN
from breeding.records.chronicle.source import Source
from breeding.traits.models import TraitLook
from breeding.words.language import message


def was_seen(look: TraitLook, telling: Telling) -> Told:
    values = {"trait": str(look.trait), "seen": look.get_what_display()}
    words = phrase(message("[trait] {trait}: {seen}"), **values)
    if look.looked_by:
        words = phrase(
            message("[trait] {trait}: {seen}, by {person}"), person=look.looked_by, **values
        )
    return Told(words, look.animal, look.animal.get_absolute_url(), look.note)


SOURCES = (
    Source(
        kind=SEEN,
        model=TraitLook,
        day="on",
        tell=was_seen,
        animals=("animal",),
        related=("animal", "trait"),
        words=("trait__name", "looked_by", "note", "animal__code", "animal__call_name"),
    ),
)
