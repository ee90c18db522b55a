"""How contacts, wishes, reservations and hand-overs are changed, withdrawn and brought back."""

import datetime
from collections.abc import Mapping
from typing import Any

from django import forms
from django.db import models
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import number_format
from django.utils.html import format_html, format_html_join
from django.utils.text import capfirst

from breeding.buyers import hand_overs
from breeding.buyers.forms import HandOverChangeForm
from breeding.buyers.mending import corrections
from breeding.buyers.mending.said_above import words_of_letting_go
from breeding.buyers.models import Contact, HandOver, Reservation, Wish
from breeding.housing.models import Stay
from breeding.housing.services import ask_of_stays
from breeding.housing.stays.following import said_of
from breeding.program.acts.mending import Kind, Way, change_address_of, kind_of
from breeding.program.models import Person, Program
from breeding.program.problems.doubts import Answers
from breeding.words.days import day_with_distance, long_day, plain_day
from breeding.words.language import message, sentences, tell
from breeding.words.wishes import wish_words


class ContactKind(Kind[Contact]):
    key = "contact"
    model = Contact

    def called(self, record: Contact) -> str:
        return tell("the contact {contact}", contact=record)

    def lede(self, record: Contact, *, program: Program, today: datetime.date) -> str:
        return tell(
            "For somebody entered twice, or by mistake. The contact stays readable with the "
            "reason, and can no longer be chosen. It is not erased."
        )

    def caution(self, record: Contact, *, today: datetime.date) -> str:
        """What counts and names them, each by its link: it has to go first."""
        if record.is_erased or not (found := corrections.resting_on_contact(record)):
            return ""
        return format_html(
            tell("It cannot be withdrawn while something names it that counts: {records}."),
            records=format_html_join(", ", '<a href="{}">{}</a>', [_link_to(one) for one in found]),
        )

    def crumb(self, record: Contact) -> Way:
        return Way(record.name, record.get_absolute_url())

    def own_change_page(self, record: Contact) -> str:
        return "" if record.is_erased else reverse("buyers:edit", args=[record.pk])

    def act(
        self, record: Contact, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        corrections.withdraw_contact(record, by=by, now=now, reason=facts["reason"])

    def may_come_back(self, record: Contact) -> bool:
        return not record.is_erased

    def return_to_count(self, record: Contact, *, by: Person, now: datetime.datetime) -> None:
        corrections.bring_back_contact(record)


def _link_to(record: models.Model) -> tuple[str, str]:
    """The page that shows or withdraws it, and what it is called there."""
    own = getattr(record, "get_absolute_url", None)
    address = own() if own is not None else change_address_of(record)
    kind = kind_of(record)
    return address, kind.called(record) if kind else str(record)


class ReservationKind(Kind[Reservation]):
    key = "reservation"
    model = Reservation
    related = ("animal", "contact")
    button = message("Let it go")

    def called(self, record: Reservation) -> str:
        return tell(
            "the reservation of {animal} for {contact}",
            animal=record.animal.name,
            contact=record.contact,
        )

    def heading(self, record: Reservation) -> str:
        return tell("Let the reservation of {animal} go", animal=record.animal.name)

    def beside(self, record: Reservation) -> str:
        return tell(
            "reserved for {contact} since {day}",
            contact=record.contact,
            day=plain_day(record.reserved_on),
        )

    def lede(self, record: Reservation, *, program: Program, today: datetime.date) -> str:
        return tell("It stays readable with the reason; the animal is free for others.")

    def caution(self, record: Reservation, *, today: datetime.date) -> str:
        if record.fulfilled_on is not None:
            gone = long_day(record.fulfilled_on)
            return tell(
                "It was fulfilled on {day}: the hand-over is withdrawn, and this follows it.",
                day=gone,
            )
        return sentences(self._deposit(record, today), *words_of_letting_go(record))

    def _deposit(self, record: Reservation, today: datetime.date) -> str:
        if record.deposit_paid_on is None:
            return ""
        paid = day_with_distance(record.deposit_paid_on, today)
        return tell(
            "A deposit of {amount} {currency} was paid {day}: say below what becomes of it.",
            amount=number_format(record.deposit or 0),
            currency=record.deposit_currency,
            day=paid,
        )

    def crumb(self, record: Reservation) -> Way:
        return Way(record.contact.name, record.contact.get_absolute_url())

    def instead(self, record: Reservation) -> Way | None:
        gone = HandOver.objects.filter(reservation=record, withdrawn_at__isnull=True).first()
        if gone is None:
            return None
        address = reverse("program:withdraw", args=[HandOverKind.key, gone.pk])
        return Way(tell("withdraw the hand-over"), address, before=tell("If it never went,"))

    def follows(self, record: Reservation) -> str:
        free = tell("{animal} is free again.", animal=record.animal.name)
        return sentences(free, *words_of_letting_go(record))

    def own_change_page(self, record: Reservation) -> str:
        return reverse("buyers:reservation", args=[record.pk])

    def act(
        self, record: Reservation, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        corrections.withdraw_reservation(record, by=by, now=now, reason=facts["reason"])

    def return_to_count(self, record: Reservation, *, by: Person, now: datetime.datetime) -> None:
        corrections.bring_back_reservation(record)

    def returns(self, record: Reservation) -> str:
        return tell(
            "{animal} is reserved for {contact} again.",
            animal=record.animal.name,
            contact=record.contact,
        )


class WishKind(Kind[Wish]):
    key = "wish"
    model = Wish
    related = ("contact", "species", "strain")
    button = message("Remove this wish")

    def called(self, record: Wish) -> str:
        return tell(
            "the wish of {contact} from {day}",
            contact=record.contact,
            day=long_day(record.wished_on),
        )

    def heading(self, record: Wish) -> str:
        return tell("Take the wish off the list")

    def lede(self, record: Wish, *, program: Program, today: datetime.date) -> str:
        wish = capfirst(wish_words(record, program.length_unit))
        since = day_with_distance(record.wished_on, today)
        return tell(
            "{wish}, since {day}. Fulfilled, or given up? It stays readable.",
            wish=wish,
            day=since,
        )

    def crumb(self, record: Wish) -> Way:
        return Way(record.contact.name, record.contact.get_absolute_url())

    def follows(self, record: Wish) -> str:
        return tell("It is off the list.")

    def own_change_page(self, record: Wish) -> str:
        return reverse("buyers:wish_edit", args=[record.pk])

    def return_to_count(self, record: Wish, *, by: Person, now: datetime.datetime) -> None:
        corrections.bring_back_wish(record)

    def returns(self, record: Wish) -> str:
        return tell("It is on the waiting list again, at its old place.")


class HandOverKind(Kind[HandOver]):
    key = "hand-over"
    model = HandOver
    related = ("animal", "contact", "reservation__contact")

    def called(self, record: HandOver) -> str:
        return tell(
            "the hand-over of {animal} to {contact}",
            animal=record.animal.name,
            contact=record.contact,
        )

    def heading(self, record: HandOver) -> str:
        return tell("Withdraw the hand-over of {animal}", animal=record.animal.name)

    def lede(self, record: HandOver, *, program: Program, today: datetime.date) -> str:
        name = record.animal.name
        return tell(
            "Only when it never went to {contact}: {animal} is then where it was, and reserved "
            "as it was.",
            contact=record.contact,
            animal=name,
        )

    def caution(self, record: HandOver, *, today: datetime.date) -> str:
        if record.came_back_on is None:
            return ""
        return format_html(
            tell(
                "{animal} came back on {day}. If that never happened either, "
                '<a href="{address}">take the coming back out</a> first.'
            ),
            animal=record.animal.name,
            day=long_day(record.came_back_on),
            address=change_address_of(record),
        )

    def instead(self, record: HandOver) -> Way | None:
        if not record.is_away:
            return None
        address = reverse("buyers:come_back", args=[record.pk])
        return Way(
            tell("write that down instead"), address, before=tell("If it went and came back,")
        )

    def crumb(self, record: HandOver) -> Way:
        return Way(record.animal.full_name, record.animal.get_absolute_url())

    def follows(self, record: HandOver) -> str:
        return tell("{animal} never left, and is where it was.", animal=record.animal.name)

    def act(
        self, record: HandOver, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        hand_overs.withdraw_hand_over(record, by=by, now=now, reason=facts["reason"])

    def ask_after(self, record: HandOver, answers: Answers, *, on: datetime.date) -> None:
        """Of one that never left: whom its stay, which goes on, has met since."""
        record.refresh_from_db()
        stay = hand_overs.stay_that_goes_on(record) if record.is_withdrawn else None
        if stay is not None:
            before = Stay(
                animal=stay.animal,
                tank=stay.tank,
                side=stay.side,
                since=stay.since,
                until=record.on,
            )
            ask_of_stays([stay], answers.sure, answers.reason, instead_of=[before])
            answers.said = said_of([stay])

    def return_to_count(self, record: HandOver, *, by: Person, now: datetime.datetime) -> None:
        corrections.bring_back_hand_over(record)

    def returns(self, record: HandOver) -> str:
        return tell(
            "{animal} left on {day}, and its stay ended then.",
            animal=record.animal.name,
            day=long_day(record.on),
        )

    def change_form(
        self,
        record: HandOver,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> forms.Form:
        return HandOverChangeForm(sent, gone=record)

    def change(
        self, record: HandOver, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        corrections.change_hand_over(record, today=timezone.localdate(now), **facts)

    def changed(self, record: HandOver) -> str:
        on = long_day(record.on)
        if record.came_back_on is None:
            return tell(
                "{animal} left on {day}; stay, state and reservation follow.",
                animal=record.animal.name,
                day=on,
            )
        return tell(
            "{animal} left on {left_on} and came back on {day}.",
            animal=record.animal.name,
            left_on=on,
            day=long_day(record.came_back_on),
        )

    def beside_change(self, record: HandOver) -> str:
        return tell(
            "The day it left is also the day its stay ended and its reservation was fulfilled; "
            "they follow. Sheets that were issued stay as they are."
        )


KINDS = (ContactKind(), ReservationKind(), WishKind(), HandOverKind())
