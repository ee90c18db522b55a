"""The litter that an animal of a sheet is of, in words."""

from breeding.animals.models import Animal
from breeding.litters.models import Pup
from breeding.sheets.contents.facts import NOT_RECORDED
from breeding.words.language import tell, tell_many
from breeding.words.numbers import spelled


def pup_of(animal: Animal) -> Pup | None:
    """Its place in a litter on record; withdrawn litters count no more."""
    pup = Pup.objects.filter(animal=animal, litter__withdrawn_at__isnull=True)
    return pup.select_related("litter").first()


def litter_words(pup: Pup | None) -> str:
    """ "litter 26-03 of seven pups, six born alive; this one is number 4"."""
    if pup is None:
        return tell(NOT_RECORDED)
    pups = Pup.objects.filter(litter=pup.litter).exclude(animal__withdrawn_at__isnull=False)
    fates = list(pups.values_list("alive", flat=True))
    number, alive = len(fates), sum(fates)
    litter = tell_many(
        "litter {litter} of {count} pup",
        "litter {litter} of {count} pups",
        number,
        litter=pup.litter.code,
        count=spelled(number),
    )
    fate = _fate(alive, number)
    return tell(
        "{litter}, {fate}; this one is number {place}", litter=litter, fate=fate, place=pup.number
    )


def _fate(alive: int, number: int) -> str:
    if number == 1:
        return tell("born alive") if alive else tell("born dead")
    if alive == number:
        return tell("all born alive")
    return tell("{number} born alive", number=spelled(alive))
