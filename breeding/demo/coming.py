"""Who came lately and whose it is: two juveniles of one seller, a male lent out and one lent in."""

import datetime
from decimal import Decimal
from functools import partial

from breeding.animals.models import Animal
from breeding.arrivals.loans.acts import lend, take_in
from breeding.arrivals.services import Newcomer, somebody_came
from breeding.buyers.services import add_contact
from breeding.demo.acts import House, all_the_same

SELLER = "Tove at Reed Lane"
CAME_DAYS_AGO = 25
AGREED_DAYS_AGO = 390
DAY = datetime.timedelta(days=1)


class Coming:
    """Acts at the door; every act takes its day first."""

    def __init__(self, house: House) -> None:
        self.house = house

    def two_juveniles(self, on: datetime.date) -> None:
        """Nobody looked at them closely yet; whether they are kin is an open question."""
        house, jo = self.house, self.house.people["jo"]
        pair = [
            Newcomer("Sterope", species=house.species["motoro"], markings="small rings"),
            Newcomer("Hyadum", species=house.species["motoro"], markings="a notch on the left"),
        ]
        come = partial(
            somebody_came,
            pair,
            by=jo,
            on=on,
            today=on,
            contact=add_contact(by=jo, name=SELLER, reach="tove@reedlane.example"),
            price_together=Decimal(340),
            currency="EUR",
            papers="invoice of the same day",
            tank=house.tanks[house.habits["arrive_in"]],
        )
        all_the_same(come, "in quarantine together, and looked at every day")

    def loans(self, on: datetime.date) -> None:
        """A male that is away, and one that belongs to somebody else."""
        house, jo = self.house, self.house.people["jo"]
        friend = house.contacts["Ivo of the Mill Race"]
        today = house.day(0)
        away, here = house.rays["Regulus"], house.rays["Canopus"]
        for one in (away, here):
            one.refresh_from_db()
        lend(
            away,
            friend,
            by=jo,
            today=on,
            since=on,
            due_back_on=today + 5 * DAY,
            young_owed=2,
            terms="Two pups of the first litter, a female among them.",
        )
        if here.state == Animal.State.HERE:
            take_in(
                here,
                friend,
                by=jo,
                today=on,
                since=on,
                due_back_on=today + 90 * DAY,
                young_owed=1,
                terms="",
            )
