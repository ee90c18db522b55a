"""Pictures on record that look like another animal: the wrong one, or two records that are one."""

import datetime
from dataclasses import dataclass

from django.db.models import Exists, F, OuterRef, Q, QuerySet
from django.utils import timezone

from breeding.animals.models import Animal, Photograph
from breeding.identity.arrays import spots_of
from breeding.identity.drawn import BesideEachOther, beside
from breeding.identity.models import PatternReading, SaidTwo
from breeding.identity.queries import NAMED, Likeness, answer_of, months_between
from breeding.spots import likeliest, untold
from breeding.words.language import tell

Date = datetime.date
MOST = 3  # asked of at once: each is reckoned anew, some 0.02 s
MOST_ON_PAGE = 12
A_MINUTE = 2  # pictures that are asked of everybody by night, some 0.3 s each with 2,500 pictures
NIGHT = range(1, 5)  # hours


@dataclass(frozen=True)
class Alike:
    """A picture of one animal that looks like another, as its spots say today."""

    pattern: PatternReading
    photograph: Photograph
    animal: Animal
    other: Animal

    @property
    def ruled_out(self) -> str:
        """Why the two cannot be one animal, in words; empty: nothing speaks against it."""
        sexes = {self.animal.sex, self.other.sex} - {"U"}
        if len(sexes) > 1:
            return tell("One is a male and the other a female.")
        if self.animal.is_here and self.other.is_here:
            return tell("Both are here.")
        taken_on = self.photograph.taken_on
        if taken_on and self.other.born_on and self.other.born_on > taken_on:
            return tell("{other} was born after the picture.", other=self.other.name)
        return ""

    @property
    def words(self) -> str:
        """What is asked."""
        if why := self.ruled_out:
            return tell(
                "A picture of {animal} looks like {other}. {why} Is it filed with the wrong "
                "animal, or are two mixed up?",
                animal=self.animal.name,
                other=self.other.name,
                why=why,
            )
        return tell(
            "A picture of {animal} looks like {other}. Is it filed with the wrong animal, or are "
            "the two one animal, written down twice?",
            animal=self.animal.name,
            other=self.other.name,
        )


def note_likeness(pattern: PatternReading, now: datetime.datetime) -> None:
    """Keep, to be asked about, which other animal a picture on record looks like, if any does.

    Asked of everybody once, when its spots are read or put right, else in the next night: some
    0.3 s with 2,500 pictures. A picture that comes later is itself held against this one.
    """
    found = None
    if pattern.photograph is not None and pattern.is_used:
        named = answer_of(pattern, pattern.photograph.taken_on).named
        if named is not None and named.animal.pk != pattern.photograph.animal_id:
            found = named.animal
    pattern.like, pattern.compared_at = found, now
    pattern.save(update_fields=["like", "compared_at"])


def not_asked_yet() -> QuerySet[PatternReading]:
    """Pictures of animals on record that nobody has held against the others, the latest first."""
    rows = PatternReading.objects.filter(
        compared_at__isnull=True,
        is_used=True,
        photograph__withdrawn_at__isnull=True,
        photograph__animal__withdrawn_at__isnull=True,
    ).exclude(photograph__isnull=True)
    return rows.select_related("photograph").order_by("-pk")


def look_through(most: int, now: datetime.datetime) -> int:
    """Ask some of those that were not asked yet; how many."""
    rows = list(not_asked_yet()[:most])
    for one in rows:
        note_likeness(one, now)
    return len(rows)


def look_through_by_night(now: datetime.datetime) -> None:
    """Called every minute; in the night a few pictures are asked, until none is left."""
    if timezone.localtime(now).hour in NIGHT:
        look_through(A_MINUTE, now)


def alike_on_record(most: int = MOST) -> list[Alike]:
    """Pictures that look like another animal than theirs, the latest first. Three queries at most.

    Those of which a keeper has said that they are two are left out.

    What was noted only finds them; whether the one or the other is likelier is reckoned again.
    """
    rows = PatternReading.objects.filter(
        like__isnull=False,
        like__withdrawn_at__isnull=True,
        is_used=True,
        photograph__withdrawn_at__isnull=True,
        photograph__animal__withdrawn_at__isnull=True,
    ).exclude(like=F("photograph__animal"))
    related = ("like", "photograph__animal__portrait")
    said = Exists(SaidTwo.objects.filter(_of_pair("like", "photograph__animal")))
    noted = list(rows.exclude(said).select_related(*related).order_by("-pk")[:most])
    animals = {
        pk for one in noted if one.photograph for pk in (one.like_id, one.photograph.animal_id)
    }
    if not animals:
        return []
    pictures: dict[int, list[tuple[int, Date | None, list[list[float]]]]] = {}
    for pk, animal, taken_on, spots in PatternReading.objects.filter(
        photograph__animal__in=animals, photograph__withdrawn_at__isnull=True, is_used=True
    ).values_list("pk", "photograph__animal_id", "photograph__taken_on", "spots"):
        pictures.setdefault(animal, []).append((pk, taken_on, spots))
    found = []
    for one in noted:
        assert one.photograph is not None and one.like is not None  # noqa: S101, PT018 - asked for
        pair = (one.like_id, one.photograph.animal_id)
        known = {
            animal: [
                (months_between(one.photograph.taken_on, taken_on), spots_of(spots))
                for pk, taken_on, spots in pictures.get(animal or 0, ())
                if pk != one.pk
            ]
            for animal in pair
        }
        reading = one.reading()
        ranked = likeliest(reading.spots, known, dim=untold(reading) == "dim")
        if ranked[0][0] == one.like_id and ranked[0][1] >= NAMED:
            found.append(Alike(one, one.photograph, one.photograph.animal, one.like))
    return found


def _of_pair(first: str, second: str) -> Q:
    """Rows of `SaidTwo` about two animals that the outer query names."""
    return Q(one=OuterRef(first), other=OuterRef(second)) | Q(
        one=OuterRef(second), other=OuterRef(first)
    )


def beside_each_other(alike: Alike) -> tuple[Likeness, BesideEachOther] | None:
    """The picture beside the one of the other animal that agrees best; None: none does."""
    found = answer_of(alike.pattern, alike.photograph.taken_on)
    likeness = next((one for one in found.likenesses if one.animal.pk == alike.other.pk), None)
    return (likeness, beside(alike.pattern, likeness)) if likeness else None
