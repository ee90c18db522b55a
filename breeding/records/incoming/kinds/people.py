"""People: contacts, who buy or may."""

from typing import Any

from django.utils.translation import gettext_lazy as _

from breeding.buyers.services import add_contact
from breeding.records.incoming.kinds.kept import one_by_one
from breeding.records.incoming.kinds.kind import Facts, Keeping, Kind, words
from breeding.records.incoming.meanings import Meaning
from breeding.words.language import tell_many

_REACHED = ("reach", "mail", "telephone", "address")


def _keep(facts: Facts, keeping: Keeping) -> Any:
    name = " ".join(words(facts, "name").split())
    reach = ", ".join(words(facts, one) for one in _REACHED if facts[one])
    return add_contact(
        by=keeping.by, name=name, reach=reach, wish=words(facts, "wish"), sure=keeping.sure
    )


PEOPLE = Kind(
    "people",
    _("person"),
    _("people"),
    lambda number: tell_many("{number} person", "{number} people", number),
    (
        Meaning(
            "name",
            _("Name"),
            ("name", "person", "contact", "buyer", "customer", "full name", "kunde"),
            _("in words"),
            is_needed=True,
        ),
        Meaning("reach", _("How to reach them"), ("reach", "reached by"), _("in words")),
        Meaning("mail", _("Mail"), ("mail", "email", "e mail"), _("beside how to reach them")),
        Meaning(
            "telephone",
            _("Telephone"),
            ("telephone", "phone", "tel", "mobile", "telefon"),
            _("beside how to reach them"),
        ),
        Meaning(
            "address",
            _("Address"),
            ("address", "street", "town", "city", "adresse"),
            _("beside how to reach them"),
        ),
        Meaning(
            "wish",
            _("What they are looking for"),
            ("wish", "wishes", "looking for", "wants", "note", "notes", "remark", "comment"),
            _("in words; takes what has no column of its own"),
        ),
    ),
    one_by_one(_keep),
    note="wish",
    takes=("buyers.Contact.name", "buyers.Contact.reach", "buyers.Contact.wish"),
)
