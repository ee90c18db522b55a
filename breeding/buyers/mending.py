"""How wishes, reservations and hand-overs are withdrawn."""

import datetime
from typing import Any

from django.urls import reverse
from django.utils.text import capfirst

from breeding.buyers import hand_overs
from breeding.buyers.models import HandOver, Reservation, Wish
from breeding.program.acts.mending import Kind, Way
from breeding.program.models import Person, Program
from breeding.words.days import day_with_distance, long_day, plain_day
from breeding.words.wishes import wish_words


class ReservationKind(Kind[Reservation]):
    key = "reservation"
    model = Reservation
    related = ("animal", "contact")
    button = "Let it go"

    def called(self, record: Reservation) -> str:
        return f"the reservation of {record.animal.name} for {record.contact}"

    def heading(self, record: Reservation) -> str:
        return f"Let the reservation of {record.animal.name} go"

    def beside(self, record: Reservation) -> str:
        return f"kept for {record.contact} since {plain_day(record.reserved_on)}"

    def lede(self, record: Reservation, *, program: Program, today: datetime.date) -> str:
        return "It stays readable with the reason; the animal is free for others."

    def caution(self, record: Reservation, *, today: datetime.date) -> str:
        if record.deposit_paid_on is None:
            return ""
        paid = day_with_distance(record.deposit_paid_on, today)
        return (
            f"A deposit of {record.deposit} {record.deposit_currency} was paid {paid}: say below "
            "what becomes of it."
        )

    def crumb(self, record: Reservation) -> Way:
        return Way(record.contact.name, record.contact.get_absolute_url())

    def follows(self, record: Reservation) -> str:
        return "" if record.fulfilled_on else f"{record.animal.name} is free again."


class WishKind(Kind[Wish]):
    key = "wish"
    model = Wish
    related = ("contact", "species", "strain")
    button = "Off the list"

    def called(self, record: Wish) -> str:
        return f"the wish of {record.contact} from {long_day(record.wished_on)}"

    def heading(self, record: Wish) -> str:
        return "Take the wish off the list"

    def lede(self, record: Wish, *, program: Program, today: datetime.date) -> str:
        wish = capfirst(wish_words(record, program.length_unit))
        since = day_with_distance(record.wished_on, today)
        return f"{wish}, since {since}. Fulfilled, or given up? It stays readable."

    def crumb(self, record: Wish) -> Way:
        return Way(record.contact.name, record.contact.get_absolute_url())

    def follows(self, record: Wish) -> str:
        return "It is off the list."


class HandOverKind(Kind[HandOver]):
    key = "hand-over"
    model = HandOver
    related = ("animal", "contact")

    def called(self, record: HandOver) -> str:
        return f"the hand-over of {record.animal.name} to {record.contact}"

    def heading(self, record: HandOver) -> str:
        return f"Withdraw the hand-over of {record.animal.name}"

    def lede(self, record: HandOver, *, program: Program, today: datetime.date) -> str:
        name = record.animal.name
        return (
            f"Only when it never went to {record.contact}: {name} is then where it was, and kept "
            "as it was."
        )

    def instead(self, record: HandOver) -> Way:
        address = reverse("buyers:come_back", args=[record.pk])
        return Way("write that down instead", address, before="If it went and came back,")

    def crumb(self, record: HandOver) -> Way:
        return Way(record.animal.full_name, record.animal.get_absolute_url())

    def follows(self, record: HandOver) -> str:
        return f"{record.animal.name} never left, and is where it was."

    def act(
        self, record: HandOver, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        hand_overs.withdraw_hand_over(record, by=by, now=now, reason=facts["reason"])


KINDS = (ReservationKind(), WishKind(), HandOverKind())
