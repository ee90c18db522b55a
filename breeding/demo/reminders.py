"""The demonstration's reminders: one for today, one to come, one that comes every two weeks."""

import datetime

from breeding.agenda.own.acts import set_reminder
from breeding.demo.acts import House

DAYS_BEFORE = 4  # they were set so many days before today
ORDER_DAYS, VET_DAYS, RINSE_DAYS = 4, 7, 9


def set_reminders(on: datetime.date, house: House) -> None:
    """As the keepers set them on one day."""
    by = house.people["jo"]
    tank = next(iter(house.tanks.values()))
    contact = next(iter(house.contacts.values()))
    for text, days, about in (
        ("order tank worms", ORDER_DAYS, {}),
        ("ask how the pup settled in", VET_DAYS, {"contact": contact}),
        ("rinse the prefilter", RINSE_DAYS, {"tank": tank, "every_days": 14}),
    ):
        day = on + datetime.timedelta(days=days)
        set_reminder(text=text, on=day, by=by, today=on, **about)
