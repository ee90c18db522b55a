"""People: contacts, who buy or may."""

from collections.abc import Sequence

from django.utils.translation import gettext_lazy as _

from breeding.buyers.models import Contact
from breeding.buyers.services import add_contacts
from breeding.records.incoming.kinds.kept import Kept, all_together
from breeding.records.incoming.kinds.kind import Facts, Keeping, Kind, words
from breeding.records.incoming.meanings import Meaning
from breeding.words.language import tell_many

_REACHED = ("reach", "mail", "telephone", "address")


def _keep_all(rows: Sequence[Facts], keeping: Keeping) -> Sequence[Kept]:
    def make(facts: Facts) -> Contact:
        return Contact(
            name=" ".join(words(facts, "name").split()),
            reach=", ".join(words(facts, one) for one in _REACHED if facts[one]),
            wish=words(facts, "wish"),
            recorded_by=keeping.by,
        )

    return all_together(rows, keeping, make=make, write=add_contacts)


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
    _keep_all,
    note="wish",
    takes=("buyers.Contact.name", "buyers.Contact.reach", "buyers.Contact.wish"),
)
