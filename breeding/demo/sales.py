"""What the demonstration's keepers did for buyers: wishes, offers, hand-overs, papers of origin."""

import datetime
from decimal import Decimal
from typing import Any

from breeding.animals.models import Strain
from breeding.buyers import hand_overs, waiting
from breeding.buyers import services as buyers
from breeding.demo.acts import Entry, House
from breeding.offers import sales
from breeding.origin.papers import add_origin_paper
from breeding.program import clock
from breeding.sheets.shared.links import renew_link


class Sales:
    """Acts at the counter; every act takes its day first and then what the diary says."""

    def __init__(self, house: House) -> None:
        self.house = house

    def wish(self, on: datetime.date, entry: Entry) -> None:
        house = self.house
        parts: dict[str, Any] = {
            name: entry[name]
            for name in ("sex", "kind", "least_disc_width_mm", "note")
            if name in entry
        }
        if "species" in entry:
            parts["species"] = house.species[entry["species"]]
        if "strain" in entry:
            parts["strain"] = Strain.objects.get(name=entry["strain"])
        contact = house.contacts[entry["for"]]
        waiting.add_wish(contact, by=house.people["jo"], wished_on=on, **parts)

    def take_deposit(self, on: datetime.date, entry: Entry) -> None:
        kept = buyers.reservation_of(self.house.rays[entry["animal"]])
        if kept is not None:
            buyers.change_reservation(
                kept,
                today=on,
                until=kept.until,
                note=kept.note,
                deposit=kept.deposit,
                deposit_currency=kept.deposit_currency,
                deposit_paid_on=on,
            )

    def hand_over(self, on: datetime.date, name: str, entry: Entry) -> None:
        house = self.house
        animal = house.rays[name]
        animal.refresh_from_db()
        hand_overs.hand_over(
            animal,
            house.contacts[entry["to"]],
            by=house.people["jo"],
            program=house.program,
            on=on,
            today=on,
            transport=entry["transport"],
            has_read_cautions=True,
            hours_expected=entry["hours"],
            packing=entry["packing"],
            price=Decimal(entry["price"]),
            currency=entry["currency"],
            permit_number=entry.get("permit", ""),
            source_code=entry.get("source_code", ""),
            note=entry.get("note", ""),
        )
        house.where.pop(name, None)

    def keep_paper(self, on: datetime.date, entry: Entry) -> None:
        house = self.house
        add_origin_paper(
            house.rays[entry["animal"]],
            by=house.people["jo"],
            today=on,
            source_code=entry.get("source_code", ""),
            permit_number=entry.get("permit", ""),
            issued_by=entry.get("issued_by", ""),
            dated=house.day(entry["dated"]) if "dated" in entry else None,
            note=entry.get("note", ""),
        )

    def offer_litter(self, on: datetime.date, entry: Entry) -> None:
        """A page with every pup of the litter, and a link that is good for two months."""
        house = self.house
        first = house.rays[f"{entry['litter']} 1"].pup_rows.get()
        litter = first.litter
        page = sales.change_sales_page(
            litter,
            by=house.people["jo"],
            pups=litter.pups.filter(animal__isnull=False),
            words=entry["words"],
        )
        last_day = on + datetime.timedelta(days=60)
        renew_link(page, by=house.people["jo"], now=clock.now(), last_day=last_day)
