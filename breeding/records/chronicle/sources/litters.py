"""What litters tell: a birth, of the dam and the sire of its pups; what was decided of a pup."""

from collections.abc import Sequence
from typing import Any

from django.db.models import Prefetch, QuerySet
from django.urls import reverse

from breeding.animals.models import Animal
from breeding.litters.models import Litter, Pup, Verdict
from breeding.program.models import Program
from breeding.records.chronicle.entry import Telling, Told, linked_name, phrase
from breeding.records.chronicle.kinds import BIRTH, DECIDED
from breeding.records.chronicle.source import Source
from breeding.words.language import message, tell, tell_many
from breeding.words.sizes import length, weight


def gave_birth(litter: Litter, telling: Telling) -> Told:
    pups = [pup for pup in litter.pups.all() if litter.is_withdrawn or not pup.is_withdrawn]
    dead = sum(not pup.alive for pup in pups)
    sires = {pup.animal.sire.pk: pup.animal.sire for pup in pups if pup.animal and pup.animal.sire}
    number = tell_many("{number} pup", "{number} pups", len(pups))
    if dead:
        number = tell("{pups}, {number} of them dead", pups=number, number=dead)
    number = ", ".join((number, *_sizes(pups, telling.program)))
    me, _ = telling.of(litter.dam, *sires.values())
    if me == litter.dam:
        words = phrase(message("[gave birth] to {litter}: {pups}"), litter=litter.code, pups=number)
        for sire in sires.values():
            words = words.followed_by(message("{this}, sire {sire}"), sire=linked_name(sire))
        return Told(words, litter.dam, litter.get_absolute_url(), litter.note)
    words = phrase(
        message("[his litter] {litter} born to {dam}: {pups}"),
        litter=litter.code,
        dam=linked_name(litter.dam),
        pups=number,
    )
    return Told(words, me, litter.get_absolute_url(), litter.note)


def was_decided(verdict: Verdict, telling: Telling) -> Told:
    address = reverse("litters:verdict", args=[verdict.animal_id]) if telling.may_write else ""
    words = phrase(message("[{words}]"), words=verdict.get_decision_display())
    return Told(words, verdict.animal, address, verdict.reason)


def _sizes(pups: Sequence[Pup], program: Program) -> list[str]:
    """What those that were measured at birth were, from the least to the most."""
    wide = sorted(pup.disc_width_mm for pup in pups if pup.disc_width_mm)
    heavy = sorted(pup.weight_g for pup in pups if pup.weight_g)
    found = []
    if wide:
        found.append(_span(*(length(one, program.length_unit) for one in (wide[0], wide[-1]))))
    if heavy:
        found.append(_span(*(weight(one, program.weight_unit) for one in (heavy[0], heavy[-1]))))
    return found


def _span(least: str, most: str) -> str:
    return least if least == most else tell("{least} to {most}", least=least, most=most)


def with_pups(rows: QuerySet[Any]) -> QuerySet[Any]:
    animals = Animal._base_manager.select_related("sire")
    pups = Pup.every.prefetch_related(Prefetch("animal", queryset=animals))
    return rows.prefetch_related(Prefetch("pups", queryset=pups))


SOURCES = (
    Source(
        kind=BIRTH,
        model=Litter,
        day="born_on",
        tell=gave_birth,
        animals=("dam", "pups__animal__sire"),
        related=("dam",),
        words=("code", "note", "dam__code", "dam__call_name"),
        prepared=with_pups,
    ),
    Source(
        kind=DECIDED,
        model=Verdict,
        day="on",
        tell=was_decided,
        animals=("animal",),
        related=("animal",),
        words=("reason", "animal__code", "animal__call_name"),
    ),
)
