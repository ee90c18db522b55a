"""What litters tell: a birth, of the dam and the sire of its pups; what was decided of a pup."""

from collections.abc import Sequence
from typing import Any

from django.db.models import Prefetch, QuerySet
from django.urls import reverse
from django.utils.html import format_html, format_html_join

from breeding.animals.models import Animal
from breeding.litters.models import Litter, Pup, Verdict
from breeding.program.models import Program
from breeding.records.chronicle.entry import Telling, Told, linked_name
from breeding.records.chronicle.kinds import BIRTH, DECIDED
from breeding.records.chronicle.source import Source
from breeding.words.numbers import counted
from breeding.words.sizes import length, weight


def gave_birth(litter: Litter, telling: Telling) -> Told:
    pups = [pup for pup in litter.pups.all() if litter.is_withdrawn or not pup.is_withdrawn]
    dead = sum(not pup.alive for pup in pups)
    sires = {pup.animal.sire.pk: pup.animal.sire for pup in pups if pup.animal and pup.animal.sire}
    number = f"{counted(len(pups), 'pup')}{f', {dead} of them dead' if dead else ''}"
    number += _sizes(pups, telling.program)
    me, _ = telling.of(litter.dam, *sires.values())
    if me == litter.dam:
        by = format_html_join("", ", sire {}", [(linked_name(one),) for one in sires.values()])
        rest = format_html(" to {}: {}{}", litter.code, number, by)
        return Told("gave birth", rest, litter.dam, litter.get_absolute_url(), litter.note)
    rest = format_html(" {} born to {}: {}", litter.code, linked_name(litter.dam), number)
    return Told("his litter", rest, me, litter.get_absolute_url(), litter.note)


def was_decided(verdict: Verdict, telling: Telling) -> Told:
    address = reverse("litters:verdict", args=[verdict.animal_id])
    lead = verdict.get_decision_display()
    return Told(lead, "", verdict.animal, address, verdict.reason)


def _sizes(pups: Sequence[Pup], program: Program) -> str:
    """What those that were measured at birth were, from the least to the most."""
    wide = sorted(pup.disc_width_mm for pup in pups if pup.disc_width_mm)
    heavy = sorted(pup.weight_g for pup in pups if pup.weight_g)
    spans = (
        *([(length(one, program.length_unit) for one in (wide[0], wide[-1]))] if wide else []),
        *([(weight(one, program.weight_unit) for one in (heavy[0], heavy[-1]))] if heavy else []),
    )
    return "".join(f", {' to '.join(dict.fromkeys(span))}" for span in spans)


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
