"""Past sales: an animal that went to somebody on a day."""

import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from breeding.animals.models import Animal
from breeding.animals.services import change_animal
from breeding.buyers.hand_overs import cautions_before, hand_over
from breeding.program.problems.doubts import Doubt, ask
from breeding.records.incoming.kinds.kept import one_by_one
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


def _keep(facts: Facts, keeping: Keeping) -> Any:
    one, on, hours = facts["animal"], facts["on"], facts["hours_expected"]
    one.refresh_from_db()
    _still_here_before(one, on)
    said = cautions_before(one, keeping.program, on=on, hours=hours)
    ask([Doubt(caution.words, "animal") for caution in said], keeping.sure)
    price, currency = facts["price"] or (None, "")
    return hand_over(
        one,
        facts["contact"],
        by=keeping.by,
        program=keeping.program,
        on=on,
        today=keeping.today,
        transport=facts["transport"],
        has_read_cautions=True,
        sure=keeping.sure,
        reason=BROUGHT_IN,
        hours_expected=hours,
        price=price,
        currency=(currency or words(facts, "currency").upper()) if price is not None else "",
        packing=words(facts, "packing"),
        permit_number=words(facts, "permit_number"),
        note=words(facts, "note"),
    )


def _still_here_before(one: Animal, on: datetime.date) -> None:
    """An animal that came in as one that left was here until it was handed over.

    Raises ValidationError when it left on another day, by its own record.
    """
    if one.state != Animal.State.LEFT or one.hand_overs.filter(withdrawn_at__isnull=True).exists():
        return
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
    change_animal(one, state=Animal.State.HERE, state_on=None)


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
    one_by_one(_keep),
    lambda facts: facts["on"],
    takes=(
        *("buyers.HandOver.animal", "buyers.HandOver.contact", "buyers.HandOver.on"),
        *("buyers.HandOver.price", "buyers.HandOver.currency", "buyers.HandOver.transport"),
        *("buyers.HandOver.hours_expected", "buyers.HandOver.packing", "buyers.HandOver.note"),
        "buyers.HandOver.permit_number",
    ),
)
