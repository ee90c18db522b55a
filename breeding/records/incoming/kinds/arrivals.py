"""How animals came and for what; and animals lent, in both directions."""

from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from breeding.animals.models import Animal
from breeding.arrivals.earlier_loans import record_earlier_loan
from breeding.arrivals.loans import lend, take_in
from breeding.arrivals.models import Arrival, LoanAgreement
from breeding.arrivals.services import write_how_it_came
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

OUT = LoanAgreement.Direction.OUT


def _arrival(facts: Facts, keeping: Keeping) -> Any:
    """One row an animal and a day: what is written of that day already is changed on its page."""
    one, on = facts["animal"], facts["on"]
    known = Arrival.objects.filter(animal=one, on=on).select_related("contact").first()
    if known is not None:
        known_words = (
            tell(
                "How {animal} came on {day}, from {person}, is on record already; change that on "
                "its page, or leave the row out.",
                animal=one.full_name,
                day=long_day(on),
                person=known.contact,
            )
            if known.contact
            else tell(
                "How {animal} came on {day}, is on record already; change that on its page, or "
                "leave the row out.",
                animal=one.full_name,
                day=long_day(on),
            )
        )
        raise ValidationError({"on": known_words})
    price, currency = facts["price"] or (None, "")
    return write_how_it_came(
        one,
        by=keeping.by,
        today=keeping.today,
        contact=facts["contact"],
        sure=keeping.sure,
        on=on,
        price=price,
        currency=(currency or words(facts, "currency").upper()) if price is not None else "",
        papers=words(facts, "papers"),
        pregnant=facts["pregnant"] or "",
        note=words(facts, "note"),
    )


def _loan(facts: Facts, keeping: Keeping) -> Any:
    """One that is over is old news; one that goes on is lent as from the page."""
    one, contact, since = facts["animal"], facts["contact"], facts["since"]
    one.refresh_from_db()
    known = LoanAgreement.objects.filter(
        animal=one, direction=facts["direction"], since=since
    ).first()
    if known is not None:
        raise ValidationError(
            {
                "since": tell(
                    "{animal}, {lent} on {day}, is on record already; change that on its page, or "
                    "leave the row out.",
                    animal=one.full_name,
                    lent=known.get_direction_display(),
                    day=long_day(since),
                )
            }
        )
    terms = {
        "due_back_on": facts["due_back_on"],
        "terms": words(facts, "terms"),
        "young_owed": facts["young_owed"],
        "young_given": facts["young_given"] or 0,
    }
    if facts["back_on"] is not None:
        return record_earlier_loan(
            one,
            contact,
            direction=facts["direction"],
            since=since,
            back_on=facts["back_on"],
            by=keeping.by,
            today=keeping.today,
            sure=keeping.sure,
            **terms,
        )
    if facts["direction"] == OUT:
        _check_its_own_day(one, since)
        return lend(
            one,
            contact,
            by=keeping.by,
            today=keeping.today,
            since=since,
            sure=keeping.sure,
            reason=BROUGHT_IN,
            **terms,
        )
    return take_in(one, contact, by=keeping.by, today=keeping.today, since=since, **terms)


def _check_its_own_day(one: Animal, since: Any) -> None:
    """Raises ValidationError where its own record says that it went on another day."""
    is_away = one.state == Animal.State.ON_LOAN
    if is_away and one.state_on is not None and one.state_on != since:
        raise ValidationError(
            {
                "since": tell(
                    "{animal} is on loan since {day} by its own record, not since {other_day}; is "
                    "this an earlier loan without its end?",
                    animal=one.full_name,
                    day=long_day(one.state_on),
                    other_day=long_day(since),
                )
            }
        )


ARRIVALS = Kind(
    "arrivals",
    _("arrival"),
    _("arrivals"),
    lambda number: tell_many("{number} arrival", "{number} arrivals", number),
    (
        animal("animal", "code", "id", "name", "ray", "who", "bought", "tier"),
        Meaning(
            "on",
            _("Came on"),
            (
                *("came on", "came", "arrived", "arrived on", "arrival", "bought on"),
                *("date bought", "date", "day", "when", "on", "datum", "gekauft am"),
            ),
            _("a full date"),
            "day",
            is_needed=True,
        ),
        Meaning(
            "contact",
            _("From whom"),
            (
                *("from whom", "bought from", "came from", "seller", "sold by", "breeder"),
                *("supplier", "from", "contact", "person", "verkäufer", "züchter", "von"),
            ),
            _("the name of a person"),
            "person",
        ),
        Meaning(
            "price",
            _("Price"),
            ("price", "cost", "paid", "amount", "preis"),
            _("a number, or 350 €"),
            "money",
        ),
        Meaning("currency", _("Currency"), ("currency", "währung"), _("three letters, like EUR")),
        Meaning(
            "papers",
            _("Papers"),
            ("papers", "documents", "permit", "cites", "papiere"),
            _("which came with it, in words"),
        ),
        Meaning(
            "pregnant",
            _("Pregnancy"),
            ("pregnant", "gravid", "trächtig"),
            _("yes, no, or scan where pups were seen"),
            "pregnant",
        ),
        NOTE,
    ),
    one_by_one(_arrival),
    lambda facts: facts["on"],
    takes=tuple(
        f"arrivals.Arrival.{name}"
        for name in (
            *("animal", "on", "contact", "price", "currency", "papers", "pregnant", "note"),
        )
    ),
)
LOANS = Kind(
    "loans",
    _("loan"),
    _("loans"),
    lambda number: tell_many("{number} loan", "{number} loans", number),
    (
        animal("animal", "code", "id", "name", "ray", "lent", "tier"),
        Meaning(
            "direction",
            pgettext_lazy("a column of a table", "Direction"),
            ("direction", "in or out", "out or in", "lent or borrowed", "kind", "loan"),
            _("out or in"),
            "direction",
            is_needed=True,
        ),
        Meaning(
            "contact",
            _("With whom"),
            ("with whom", "with", "to whom", "lent to", "owner", "contact", "person", "who", "to"),
            _("the name of a person"),
            "person",
            is_needed=True,
        ),
        Meaning(
            "since",
            pgettext_lazy("a column of a table", "Since"),
            ("since", "from", "lent on", "start", "began", "date", "on", "day", "von", "seit"),
            _("a full date"),
            "day",
            is_needed=True,
        ),
        Meaning(
            "due_back_on",
            _("Due back on"),
            ("due back", "due back on", "due", "until", "agreed until", "bis"),
            _("a full date, past or to come"),
            "day_ahead",
        ),
        Meaning(
            "back_on",
            _("Back on"),
            ("back", "back on", "returned", "returned on", "came back", "ended", "zurück"),
            _("a full date; empty while it goes on"),
            "day",
        ),
        Meaning(
            "young_owed",
            _("Young owed"),
            ("young owed", "owed", "pups owed", "young", "pups"),
            _("a number"),
            "count",
        ),
        Meaning(
            "young_given",
            _("Young given"),
            ("young given", "given", "pups given"),
            _("how many of them are given already"),
            "count",
        ),
        Meaning(
            "terms",
            _("Terms"),
            ("terms", "agreed", "agreement", "note", "notes", "remarks", "comment"),
            _("in words; takes what has no column of its own"),
        ),
    ),
    one_by_one(_loan),
    lambda facts: facts["since"],
    note="terms",
    takes=tuple(
        f"arrivals.LoanAgreement.{name}"
        for name in (
            *("animal", "direction", "contact", "since", "due_back_on", "back_on"),
            *("young_owed", "young_given", "terms"),
        )
    ),
)
