"""Questions about buyers that gather several rows for a page; they write nothing."""

from collections.abc import Collection
from dataclasses import dataclass

from django.db.models import Count, Q, QuerySet

from breeding.animals.models import Animal
from breeding.buyers.models import STANDING, Contact, HandOver, Reservation
from breeding.words.days import long_day
from breeding.words.language import tell


def open_reservations() -> QuerySet[Reservation]:
    """Everything that is kept for somebody, what runs out first coming first."""
    return (
        Reservation.objects.filter(STANDING)
        .select_related("animal", "contact")
        .order_by("until", "reserved_on", "pk")
    )


def usual_currency() -> str:
    """The currency money was last written down in; empty before the first time."""
    last = HandOver.objects.exclude(currency="").order_by("-on", "-pk").first()
    kept = Reservation.objects.exclude(deposit_currency="").order_by("-reserved_on", "-pk").first()
    if last is None or (kept is not None and kept.reserved_on > last.on):
        return kept.deposit_currency if kept else ""
    return last.currency


def contacts_with_counts() -> QuerySet[Contact]:
    """Every contact with how many animals are kept for them, and how many wishes stand."""
    standing = {"withdrawn_at__isnull": True, "fulfilled_on__isnull": True}
    kept = Q(**{f"reservations__{name}": value for name, value in standing.items()})
    wished = Q(wishes__withdrawn_at__isnull=True)
    return Contact.objects.annotate(
        kept=Count("reservations", filter=kept, distinct=True),
        wished=Count("wishes", filter=wished, distinct=True),
    ).order_by("name", "pk")


@dataclass(frozen=True)
class AnimalAndBuyers:
    """For whom an animal is kept, and to whom it went."""

    reservation: Reservation | None
    hand_overs: list[HandOver]

    @property
    def away(self) -> HandOver | None:
        """The hand-over it has not come back from."""
        return next((one for one in self.hand_overs if one.is_away), None)


def buyers_of(animal: Animal) -> AnimalAndBuyers:
    """Two queries."""
    return AnimalAndBuyers(
        open_reservations().filter(animal=animal).first(),
        list(animal.hand_overs.select_related("contact")),
    )


def kept_for(animals: Collection[int]) -> dict[int, str]:
    """For whom each of these is kept, in words, for those who may read of buyers: one query."""
    kept = Reservation.objects.filter(STANDING, animal__in=animals).select_related("contact")
    return {one.animal_id: _for_whom(one) for one in kept}


def _for_whom(kept: Reservation) -> str:
    if kept.until is None:
        return str(kept.contact)
    return tell("{contact}, until {day}", contact=kept.contact, day=long_day(kept.until))
