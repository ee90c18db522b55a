"""What of reminders can be found; one about a contact by those who may see buyers."""

from breeding.agenda.models import Reminder
from breeding.program.found import Found

FOUND = (
    Found(
        "reminder",
        Reminder,
        "notes",
        texts=("text",),
        where="contact_id IS NULL",
        where_columns=("contact_id",),
    ),
    Found(
        "reminder_of_contact",
        Reminder,
        "notes",
        texts=("text",),
        where="contact_id IS NOT NULL",
        where_columns=("contact_id",),
        readers="buyers",
    ),
)
