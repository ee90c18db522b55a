"""The lines about buyers: reservations that run out, pups that fit a wish."""

from collections.abc import Iterator

from breeding.agenda.gathered import Gathered
from breeding.agenda.kinds.table import KINDS
from breeding.agenda.lines.line import Line, write_line
from breeding.buyers.waiting import WishReading, openings
from breeding.pairings.queries import HERE
from breeding.words.days import plain_day
from breeding.words.numbers import some
from breeding.words.style import capital
from breeding.words.wishes import wish_words

MOST_NAMED = 6


def reservation_lines(gathered: Gathered) -> Iterator[Line]:
    """Reservations with a last day, of animals that are here."""
    for one in gathered.reservations:
        if one.until is None or one.animal.state not in HERE:
            continue
        yield write_line(
            KINDS["reservation"],
            mark=f"{one.pk}:{one.until}",
            series_mark=str(one.pk),
            on=one.until,
            today=gathered.today,
            who=one.animal.name,
            why=f"Kept until {plain_day(one.until)}. Ask whether it still stands.",
            animal=one.animal,
            facts={
                "buyer": one.contact.name,
                "animal_id": one.animal_id,
                "reservation_id": one.pk,
                "contact_id": one.contact_id,
            },
        )


def wish_lines(gathered: Gathered) -> Iterator[Line]:
    """One line for each wish that a free pup fits; each pup is proposed to the oldest wish first.

    Like every line it tells calendars its reason, so the contact stands in the heading alone.
    """
    proposed = set()
    for row in openings(gathered.program, asof=gathered.today, among=gathered.pups):
        wish, pups = row.wish, [fit.animal for fit in row.fitting]
        pup = next((one for one in pups if one.pk not in proposed), pups[0])
        is_wished_before = pup.pk in proposed
        proposed.add(pup.pk)
        more = len(pups) - 1
        words = wish_words(wish, gathered.program.length_unit)
        names = some([one.name for one in pups], MOST_NAMED)
        yield write_line(
            KINDS["wish"],
            mark=f"{wish.pk}:{_mark(row)}",
            series_mark=str(wish.pk),
            on=gathered.today,
            today=gathered.today,
            who=pup.name + (f" and {more} more" if more else ""),
            why=f"{capital(words)}: wished since {plain_day(wish.wished_on)}. "
            f"Old and large enough, and kept for nobody: {names}."
            + (" An older wish asks for it too." if is_wished_before else ""),
            animal=pup,
            facts={
                "fits": "fit" if more else "fits",
                "open_words": "All that fit" if more else "Open the buyer",
                "buyer": wish.contact.name,
                "pup": pup.name,
                "pup_id": pup.pk,
                "contact_id": wish.contact.pk,
                "wish_id": wish.pk,
            },
        )


def _mark(row: WishReading) -> str:
    """Another litter, or another wish in the same place, is asked about again; a littermate not."""
    wish = row.wish
    litter = max(fit.pup.pup.litter_id for fit in row.fitting)
    sex, kind = wish.sex.lower() or "any", wish.kind or "any"
    parts = (wish.species_id, wish.strain_id, sex, kind, wish.least_disc_width_mm)
    return f"{litter}:{'-'.join(str(part or 0) for part in parts)}"
