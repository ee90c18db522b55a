"""The lines about buyers: reservations that run out, pups that fit a wish."""

from collections.abc import Collection, Iterable, Iterator, Sequence

from breeding.agenda.gathered import Gathered
from breeding.agenda.kinds.table import KINDS
from breeding.agenda.lines.line import Line, and_more, write_line
from breeding.agenda.lines.once import written_once
from breeding.animals.models import Animal
from breeding.buyers.models import Wish
from breeding.buyers.waiting import WishReading
from breeding.pairings.queries import HERE
from breeding.words.days import plain_day
from breeding.words.language import tell, tell_as
from breeding.words.numbers import some
from breeding.words.style import capital
from breeding.words.wishes import wish_words

MOST_NAMED = 6
MOST_WISHES = 60


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
            why=tell(
                "Reserved until {day}. Ask whether it still stands.", day=plain_day(one.until)
            ),
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
    Where very many wish for the same, the oldest wishes; all stand on the waiting list.
    """

    def write(rows: Sequence[WishReading]) -> Iterator[Line]:
        return _lines_of_wishes(rows[:MOST_WISHES], gathered)

    yield from written_once("wishes", gathered, [gathered.openings], write)


def _lines_of_wishes(openings: Iterable[WishReading], gathered: Gathered) -> Iterator[Line]:
    proposed: set[int] = set()
    fitting: dict[int, _Fitting] = {}  # what wishes that ask for the same share
    for row in openings:
        wish = row.wish
        shared = fitting.get(id(row.fits)) or fitting.setdefault(id(row.fits), _Fitting(row))
        pups, pup = shared.pups, shared.next_one(proposed)
        is_wished_before = pup.pk in proposed
        proposed.add(pup.pk)
        more = len(pups) - 1
        words = wish_words(wish, gathered.program.length_unit)
        names = shared.names
        yield write_line(
            KINDS["wish"],
            mark=f"{wish.pk}:{shared.mark}",
            series_mark=str(wish.pk),
            on=gathered.today,
            today=gathered.today,
            who=and_more(pup.name, more),
            why=tell(
                "{words}: wished since {day}. Old and large enough, and not reserved: {names}.",
                words=capital(words),
                day=plain_day(wish.wished_on),
                names=names,
            )
            + (f" {tell('An older wish asks for it too.')}" if is_wished_before else ""),
            animal=pup,
            facts={
                "fits": tell_as("of several animals", "fit") if more else tell("fits"),
                "open_words": tell("All that fit") if more else tell("Open the buyer"),
                "buyer": wish.contact.name,
                "pup": pup.name,
                "pup_id": pup.pk,
                "contact_id": wish.contact.pk,
                "wish_id": wish.pk,
            },
        )


class _Fitting:
    """The free pups that fit a wish, in their order, told once for all wishes alike."""

    def __init__(self, row: WishReading) -> None:
        fits = row.fitting
        self.pups = [fit.animal for fit in fits]
        self.names = some([one.name for one in self.pups], MOST_NAMED)
        self.mark = _mark(row.wish, max(fit.pup.pup.litter_id for fit in fits))
        self._left = iter(self.pups)

    def next_one(self, proposed: Collection[int]) -> Animal:
        """The first that is proposed to nobody yet; else the first of all."""
        return next((one for one in self._left if one.pk not in proposed), self.pups[0])


def _mark(wish: Wish, litter: int) -> str:
    """Another litter, or another wish in the same place, is asked about again; a littermate not."""
    sex, kind = wish.sex.lower() or "any", wish.kind or "any"
    parts = [wish.species_id, wish.strain_id, sex, kind, wish.least_disc_width_mm]
    if wish.trait_id:
        parts += [wish.trait_id, wish.trait_wanted, wish.trait_least_percent]
    return f"{litter}:{'-'.join(str(part or 0) for part in parts)}"
