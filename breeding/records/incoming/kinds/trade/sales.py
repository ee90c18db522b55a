"""Past sales: an animal that went to somebody on a day."""

import datetime
from collections.abc import Collection, Iterable, Sequence
from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from breeding.animals.models import Animal
from breeding.animals.services import change_animal
from breeding.buyers.cautions import beside_others
from breeding.buyers.hand_overs import hand_all_over
from breeding.buyers.models import HandOver
from breeding.program.problems.several import Judged, named_in, read_of, settled
from breeding.records.incoming.kinds.kept import ByItself, Kept, all_together, in_runs
from breeding.records.incoming.kinds.kind import (
    BROUGHT_IN,
    NOTE,
    Facts,
    Keeping,
    Kind,
    animal,
    words,
)
from breeding.records.incoming.meanings import Meaning
from breeding.words.days import long_day
from breeding.words.language import tell, tell_many


def _keep_all(rows: Sequence[Facts], keeping: Keeping) -> Sequence[Kept]:
    """Together, but for those whose cautions rest on where others were: these one by one."""
    alone, tanks = beside_others({one["animal"]: one["on"] for one in rows})  # by their days
    return in_runs(
        rows,
        keeping,
        is_plain=lambda facts: facts["animal"].pk not in alone,
        key=lambda facts: facts["animal"].pk,
        also=lambda facts: tanks.get(facts["animal"].pk, ()),
        together=_all_gone,
        alone=ByItself(_gone, len(rows)),
    )


def _all_gone(rows: Sequence[Facts], keeping: Keeping) -> list[Kept]:
    mine = [one["animal"].pk for one in rows]
    animals = {one.pk: one for one in read_of(Animal.every.all(), "pk", mine)}
    left = _left_by_their_record(animals.values())

    def make(facts: Facts) -> HandOver:
        one = animals[facts["animal"].pk]
        if one.pk in left:
            _refuse_other_day(one, facts["on"])
        return _hand_over_of(one, facts, keeping)

    return all_together(
        rows, keeping, make=make, write=lambda made: _written(made, keeping, gone_with_it=left)
    )


def _gone(facts: Facts, keeping: Keeping) -> Any:
    one = facts["animal"]
    one.refresh_from_db()
    if _left_by_their_record([one]):
        _refuse_other_day(one, facts["on"])
        change_animal(one, state=Animal.State.HERE, state_on=None)
    [judged] = _written([_hand_over_of(one, facts, keeping)], keeping)
    return settled(judged, keeping.sure, BROUGHT_IN)


def _written(
    rows: Sequence[HandOver], keeping: Keeping, gone_with_it: Collection[int] = ()
) -> list[Judged[HandOver]]:
    return hand_all_over(
        rows,
        program=keeping.program,
        today=keeping.today,
        reason=BROUGHT_IN,
        gone_with_it=gone_with_it,
    )


def _hand_over_of(one: Animal, facts: Facts, keeping: Keeping) -> HandOver:
    price, currency = facts["price"] or (None, "")
    return HandOver(
        animal=one,
        contact=facts["contact"],
        on=facts["on"],
        transport=facts["transport"],
        hours_expected=facts["hours_expected"],
        price=price,
        currency=(currency or words(facts, "currency").upper()) if price is not None else "",
        packing=words(facts, "packing"),
        permit_number=words(facts, "permit_number"),
        note=words(facts, "note"),
        recorded_by=keeping.by,
    )


def _left_by_their_record(animals: Iterable[Animal]) -> set[int]:
    """Those that came in as ones that left: here until they were handed over."""
    left = [one.pk for one in animals if one.state == Animal.State.LEFT]
    counting = HandOver.objects.filter(withdrawn_at__isnull=True)
    return set(left) - named_in(counting, "animal", left)


def _refuse_other_day(one: Animal, on: datetime.date) -> None:
    """Raises ValidationError when it left on another day, by its own record."""
    if one.state_on is not None and one.state_on != on:
        raise ValidationError(
            {
                "on": tell(
                    "{animal} left on {day} by its own record, not on {other_day}.",
                    animal=one.name,
                    day=long_day(one.state_on),
                    other_day=long_day(on),
                )
            }
        )


SALES = Kind(
    "sales",
    _("hand-over"),
    _("hand-overs"),
    lambda number: tell_many("{number} hand-over", "{number} hand-overs", number),
    (
        animal("animal", "code", "id", "name", "ray", "sold", "what", "tier"),
        Meaning(
            "contact",
            _("To whom"),
            ("buyer", "to", "contact", "customer", "sold to", "person", "client", "who", "käufer"),
            _("the name of a person"),
            "person",
            is_needed=True,
        ),
        Meaning(
            "on",
            pgettext_lazy("a column of a table", "On"),
            ("date", "sold on", "on", "day", "handed over", "when", "left on", "datum"),
            _("a full date"),
            "day",
            is_needed=True,
        ),
        Meaning(
            "price",
            _("Price"),
            ("price", "paid", "amount", "preis"),
            _("a number, or 350 €"),
            "money",
        ),
        Meaning("currency", _("Currency"), ("currency", "währung"), _("three letters, like EUR")),
        Meaning(
            "transport",
            _("Transport"),
            ("transport", "how", "shipping", "shipped by", "delivery", "via"),
            _("own car, courier or by air"),
            "transport",
            is_needed=True,
        ),
        Meaning(
            "hours_expected", _("Hours on the way"), ("hours", "hours on the way"), "", "count"
        ),
        Meaning("packing", _("Packing"), ("packing", "packed", "box"), _("in words")),
        Meaning(
            "permit_number", _("Permit"), ("permit", "permit number", "cites"), _("as it stands")
        ),
        NOTE,
    ),
    _keep_all,
    lambda facts: facts["on"],
    takes=(
        *("buyers.HandOver.animal", "buyers.HandOver.contact", "buyers.HandOver.on"),
        *("buyers.HandOver.price", "buyers.HandOver.currency", "buyers.HandOver.transport"),
        *("buyers.HandOver.hours_expected", "buyers.HandOver.packing", "buyers.HandOver.note"),
        "buyers.HandOver.permit_number",
    ),
)
