"""How animals came and for what; and animals lent, in both directions."""

from collections.abc import Sequence
from itertools import groupby
from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from breeding.animals.models import Animal
from breeding.arrivals.loans.beginning import begin_loans
from breeding.arrivals.loans.earlier import record_earlier_loans
from breeding.arrivals.models import Arrival, LoanAgreement
from breeding.arrivals.services import write_how_all_came, write_how_it_came
from breeding.program.problems.several import read_of
from breeding.records.incoming.kinds.kept import ByItself, Kept, all_together, in_runs
from breeding.records.incoming.kinds.kind import (
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


def _arrivals(rows: Sequence[Facts], keeping: Keeping) -> Sequence[Kept]:
    """Together, but for one who came with a scan, from which her season follows."""
    return in_runs(
        rows,
        keeping,
        is_plain=lambda facts: facts["pregnant"] != Arrival.Pregnant.SCAN,
        key=lambda facts: (facts["animal"].pk, facts["on"]),
        together=_all_came,
        alone=ByItself(_came, len(rows)),
    )


def _all_came(rows: Sequence[Facts], keeping: Keeping) -> list[Kept]:
    on_record, mine = Arrival.objects.select_related("contact"), [one["animal"].pk for one in rows]
    known = {(one.animal_id, one.on): one for one in read_of(on_record, "animal", mine)}

    def make(facts: Facts) -> Arrival:
        one = facts["animal"]
        _refuse_known(one, known.get((one.pk, facts["on"])))
        contact = facts["contact"]
        return Arrival(animal=one, contact=contact, recorded_by=keeping.by, **_of_arrival(facts))

    return all_together(
        rows,
        keeping,
        make=make,
        write=lambda made: write_how_all_came(made, today=keeping.today),
    )


def _came(facts: Facts, keeping: Keeping) -> Any:
    one, known = facts["animal"], Arrival.objects.select_related("contact")
    _refuse_known(one, known.filter(animal=one, on=facts["on"]).first())
    return write_how_it_came(
        one,
        by=keeping.by,
        today=keeping.today,
        contact=facts["contact"],
        sure=keeping.sure,
        **_of_arrival(facts),
    )


def _of_arrival(facts: Facts) -> dict[str, Any]:
    price, currency = facts["price"] or (None, "")
    return {
        "on": facts["on"],
        "price": price,
        "currency": (currency or words(facts, "currency").upper()) if price is not None else "",
        "papers": words(facts, "papers"),
        "pregnant": facts["pregnant"] or "",
        "note": words(facts, "note"),
    }


def _refuse_known(one: Animal, known: Arrival | None) -> None:
    """One row an animal and a day: what is written of that day already is changed on its page."""
    if known is None:
        return
    known_words = (
        tell(
            "How {animal} came on {day}, from {person}, is on record already; change that on "
            "its page, or leave the row out.",
            animal=one.full_name,
            day=long_day(known.on),
            person=known.contact,
        )
        if known.contact
        else tell(
            "How {animal} came on {day}, is on record already; change that on its page, or "
            "leave the row out.",
            animal=one.full_name,
            day=long_day(known.on),
        )
    )
    raise ValidationError({"on": known_words})


def _loans(rows: Sequence[Facts], keeping: Keeping) -> Sequence[Kept]:
    """Those that are over, and those that go on; where one of an animal does, its rows one after
    the other."""
    going_on = {one["animal"].pk for one in rows if _goes_on(one)}
    return in_runs(
        rows,
        keeping,
        key=lambda facts: (facts["animal"].pk, facts["direction"], facts["since"]),
        also=lambda facts: {facts["animal"].pk} & going_on,
        together=_in_order,
    )


def _goes_on(facts: Facts) -> bool:
    return facts["back_on"] is None


def _in_order(rows: Sequence[Facts], keeping: Keeping) -> list[Kept]:
    """Those that follow each other and go on by one act, and those that are over."""
    found: list[Kept] = []
    for goes_on, some in groupby(rows, _goes_on):
        found += (_going_on if goes_on else _over)(list(some), keeping)
    return found


def _over(rows: Sequence[Facts], keeping: Keeping) -> list[Kept]:
    known = _known_loans([one["animal"].pk for one in rows])

    def make(facts: Facts) -> LoanAgreement:
        one, direction, since = facts["animal"], facts["direction"], facts["since"]
        _refuse_known_loan(one, known.get((one.pk, direction, since)))
        return _loan_of(one, facts, keeping)

    return all_together(
        rows,
        keeping,
        make=make,
        write=lambda made: record_earlier_loans(made, today=keeping.today),
    )


def _going_on(rows: Sequence[Facts], keeping: Keeping) -> list[Kept]:
    """Those that are lent as from the page; no two of one animal."""
    mine = [one["animal"].pk for one in rows]
    animals = {one.pk: one for one in read_of(Animal.every.all(), "pk", mine)}
    known = _known_loans(mine)

    def make(facts: Facts) -> LoanAgreement:
        one, direction, since = animals[facts["animal"].pk], facts["direction"], facts["since"]
        _refuse_known_loan(one, known.get((one.pk, direction, since)))
        if direction == OUT:
            _check_its_own_day(one, since)
        return _loan_of(one, facts, keeping)

    return all_together(
        rows,
        keeping,
        make=make,
        write=lambda made: begin_loans(made, today=keeping.today),
    )


def _loan_of(one: Animal, facts: Facts, keeping: Keeping) -> LoanAgreement:
    return LoanAgreement(
        animal=one,
        contact=facts["contact"],
        direction=facts["direction"],
        since=facts["since"],
        back_on=facts["back_on"],
        recorded_by=keeping.by,
        **_terms(facts),
    )


def _known_loans(animals: Sequence[int]) -> dict[tuple[int, str, Any], LoanAgreement]:
    on_record = read_of(LoanAgreement.objects.all(), "animal", animals)
    return {(one.animal_id, one.direction, one.since): one for one in on_record}


def _terms(facts: Facts) -> dict[str, Any]:
    return {
        "due_back_on": facts["due_back_on"],
        "terms": words(facts, "terms"),
        "young_owed": facts["young_owed"],
        "young_given": facts["young_given"] or 0,
    }


def _refuse_known_loan(one: Animal, known: LoanAgreement | None) -> None:
    if known is not None:
        raise ValidationError(
            {
                "since": tell(
                    "{animal}, {lent} on {day}, is on record already; change that on its page, or "
                    "leave the row out.",
                    animal=one.full_name,
                    lent=known.get_direction_display(),
                    day=long_day(known.since),
                )
            }
        )


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
    _arrivals,
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
    _loans,
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
