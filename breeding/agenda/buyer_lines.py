"""The lines of the day about buyers: reservations that run out, pups that fit a wish."""

import datetime
from collections.abc import Iterable

from breeding.agenda.lines import Act, Line
from breeding.buyers.models import Reservation
from breeding.buyers.waiting import WishReading
from breeding.buyers.wish_words import wish_words
from breeding.program.formats import plain_day, some

MOST_NAMED = 6


def reservation_lines(reservations: Iterable[Reservation], today: datetime.date) -> list[Line]:
    """Reservations with a last day."""
    return [
        Line(
            key=f"reservation:{one.pk}:{one.until}",
            on=one.until,
            urgency="now" if one.until < today else "soon",
            who=one.animal.name,
            what=f"kept for {one.contact.name}",
            why=f"Kept until {plain_day(one.until)}. Ask whether it still stands.",
            animal=one.animal,
            address_of="animals:detail",
            acts=(
                Act("Hand it over", "buyers:hand_over", one.animal_id),
                Act("Keep it longer", "buyers:reservation", one.pk),
                Act("Let it go", "program:withdraw", ("reservation", one.pk)),
                Act("Open the buyer", "buyers:detail", one.contact_id),
            ),
            series=f"reservation:{one.pk}",
        )
        for one in reservations
        if one.until is not None
    ]


def wish_lines(rows: Iterable[WishReading], length_unit: str, today: datetime.date) -> list[Line]:
    """One line for each wish that a free pup fits; each pup is proposed to the oldest wish first.

    Like every line it tells calendars its reason, so the contact stands in `what` alone.
    """
    lines, proposed = [], set()
    for row in rows:
        wish, pups = row.wish, [fit.animal for fit in row.fitting]
        pup = next((one for one in pups if one.pk not in proposed), pups[0])
        is_wished_before = pup.pk in proposed
        proposed.add(pup.pk)
        contact, more = wish.contact, len(pups) - 1
        fit = "fits" if not more else "fit"
        words = wish_words(wish, length_unit)
        names = some([one.name for one in pups], MOST_NAMED)
        lines.append(
            Line(
                key=f"wish:{wish.pk}:{_mark(row)}",
                on=today,
                urgency="later",
                who=pup.name + (f" and {more} more" if more else ""),
                what=f"{fit} what {contact.name} waits for",
                why=f"{words[0].upper()}{words[1:]}: wished since {plain_day(wish.wished_on)}. "
                f"Old and large enough, and kept for nobody: {names}."
                + (" An older wish asks for it too." if is_wished_before else ""),
                animal=pup,
                address_of="animals:detail",
                acts=(
                    Act(f"Keep {pup.name}", "buyers:reserve", pup.pk, f"?contact={contact.pk}"),
                    Act("All that fit" if more else "Open the buyer", "buyers:detail", contact.pk),
                    Act("Off the list", "program:withdraw", ("wish", wish.pk)),
                ),
                series=f"wish:{wish.pk}",
                moves_daily=True,
            )
        )
    return lines


def _mark(row: WishReading) -> str:
    """Another litter, or another wish in the same place, is asked about again; a littermate not."""
    wish = row.wish
    litter = max(fit.pup.pup.litter_id for fit in row.fitting)
    sex, kind = wish.sex.lower() or "any", wish.kind or "any"
    parts = (wish.species_id, wish.strain_id, sex, kind, wish.least_disc_width_mm)
    return f"{litter}:{'-'.join(str(part or 0) for part in parts)}"
