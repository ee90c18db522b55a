"""Treatments of a tank's water, as they are marked in the course of that water."""

from collections.abc import Iterator, Sequence

from django.db.models import Q

from breeding.health.models import Treatment
from breeding.housing.course.marks import MOST_OF_A_KIND, Mark
from breeding.housing.course.span import Span
from breeding.housing.models import Tank
from breeding.housing.work.queries import sharing
from breeding.program.models import Program
from breeding.words.language import tell


def treatment_marks(tanks: Sequence[Tank], span: Span, program: Program) -> Iterator[Mark]:
    """What went into the water of these tanks; one that goes on lasts as long as is drawn."""
    rows = Treatment.objects.filter(
        sharing(tanks), Q(until__isnull=True) | Q(until__gte=span.first), since__lte=span.last
    )
    for one in rows.order_by("-since")[:MOST_OF_A_KIND]:
        what = f"{one.remedy}, {one.dose}" if one.dose else one.remedy
        yield Mark(one.since, "treatment", tell("treated with {remedy}", remedy=what), one.until)
