"""In what an issued sheet differs from the records by now, and which a change meets."""

from django.utils import translation

from breeding.animals.models import Animal
from breeding.animals.services import parents_of
from breeding.buyers.models import Reservation
from breeding.litters.models import Litter
from breeding.sheets.contents.facts import NOT_RECORDED, SheetFacts
from breeding.sheets.models import Sheet
from breeding.words.days import born_mark, born_words
from breeding.words.language import tell, tell_many
from breeding.words.numbers import joined


def differences(sheet: Sheet) -> tuple[str, ...]:
    """What the sheet says of birth and parents that the records say otherwise today.

    Nothing for one that was tampered with and cannot be read: that is said of it already.
    """
    animal = sheet.animal
    try:
        facts = sheet.issued_facts
    except (TypeError, ValueError):
        return ()
    parents = parents_of(animal)
    sires = [parents.sire, *(male for male, _ in parents.possible_sires)]
    found = {
        tell("the day of birth"): not _is_born_as_told(facts, animal),
        tell("the dam"): facts.dam.code != (parents.dam.code if parents.dam else ""),
        tell("the sire"): _sires(facts) != {one.code for one in sires if one is not None},
    }
    return tuple(what for what, differs in found.items() if differs)


def _is_born_as_told(facts: SheetFacts, animal: Animal) -> bool:
    """By what is in no language; a sheet from before has only words, compared in its own."""
    if told := facts.animal.born_mark:
        return told == born_mark(animal.born_on, animal.born_precision)
    with translation.override(facts.language):
        born = born_words(animal.born_on, animal.born_precision)
        return facts.animal.born == (born if animal.born_on else tell(NOT_RECORDED))


def _sires(facts: SheetFacts) -> set[str]:
    return {one.code for one in facts.sires if one.code}


def sheets_of_litter(litter: Litter) -> str:
    """Said before a litter is changed: which sheets will differ from the records."""
    animals = litter.pups.filter(animal__isnull=False).values("animal")
    out = Sheet.objects.filter(animal__in=animals, withdrawal__isnull=True, correction__isnull=True)
    number = out.count()
    if not number:
        return ""
    return tell_many(
        "{number} parentage sheet of them is out: what was issued stays as issued, with the note "
        "that it differs from the records.",
        "{number} parentage sheets of them are out: what was issued stays as issued, with the note "
        "that it differs from the records.",
        number,
    )


def sheets_of_reservation(reservation: Reservation) -> str:
    """Said when a reservation is let go: which sheets its buyer has for the animal already."""
    out = Sheet.objects.filter(
        animal=reservation.animal_id,
        contact=reservation.contact_id,
        withdrawal__isnull=True,
        correction__isnull=True,
    )
    numbers = list(out.order_by("pk").values_list("number", flat=True))
    if not numbers:
        return ""
    return tell_many(
        "Sheet {numbers} was issued to {contact} for this animal, and stays as issued: withdraw it "
        "on its page if it is to hold no more.",
        "Sheets {numbers} were issued to {contact} for this animal, and stay as issued: withdraw "
        "them on their pages if they are to hold no more.",
        len(numbers),
        numbers=joined(numbers),
        contact=reservation.contact,
    )
