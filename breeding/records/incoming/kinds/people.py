"""People: contacts, who buy or may."""

from typing import Any

from breeding.buyers.services import add_contact
from breeding.records.incoming.kinds.kind import Facts, Keeping, Kind, words
from breeding.records.incoming.meanings import Meaning

_REACHED = ("reach", "mail", "telephone", "address")


def _keep(facts: Facts, keeping: Keeping) -> Any:
    name = " ".join(words(facts, "name").split())
    reach = ", ".join(words(facts, one) for one in _REACHED if facts[one])
    return add_contact(
        by=keeping.by, name=name, reach=reach, wish=words(facts, "wish"), sure=keeping.sure
    )


PEOPLE = Kind(
    "people",
    "person",
    "people",
    (
        Meaning(
            "name",
            "Name",
            ("name", "person", "contact", "buyer", "customer", "full name", "kunde"),
            "in words",
            is_needed=True,
        ),
        Meaning("reach", "How to reach them", ("reach", "reached by"), "in words"),
        Meaning("mail", "Mail", ("mail", "email", "e mail"), "beside how to reach them"),
        Meaning(
            "telephone",
            "Telephone",
            ("telephone", "phone", "tel", "mobile", "telefon"),
            "beside how to reach them",
        ),
        Meaning(
            "address",
            "Address",
            ("address", "street", "town", "city", "adresse"),
            "beside how to reach them",
        ),
        Meaning(
            "wish",
            "What they are looking for",
            ("wish", "wishes", "looking for", "wants", "note", "notes", "remark", "comment"),
            "in words; takes what has no column of its own",
        ),
    ),
    _keep,
    note="wish",
    takes=("buyers.Contact.name", "buyers.Contact.reach", "buyers.Contact.wish"),
)
