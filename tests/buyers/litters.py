"""One litter with measured pups, for the tests of wishes, sales and hand-overs."""

import datetime
from io import BytesIO

from PIL import Image

from breeding.animals import services as animals
from breeding.animals.parents.parentage import Parents
from breeding.feeding.models import Feeding
from breeding.litters.services import PupFacts, record_birth
from tests import cast

TODAY = cast.day("2026-11-25")


def picture(colour="grey"):
    out = BytesIO()
    exif = Image.Exif()
    exif[0x013B] = "Nobody Inparticular"
    Image.new("RGB", (900, 700), colour).save(out, "JPEG", exif=exif)
    return BytesIO(out.getvalue())


def litter_of(
    dam,
    sire=None,
    *,
    days_old=100,
    widths=(160, 150, 120),
    sexes="FMF",
    today=TODAY,
    possible_sires=(),
    fed=True,
):
    """Pups of one birth, measured today; their names are Alya, Botein, Chara and so on.

    They ate half their life ago, unless nothing is on record of it.
    """
    born_on = today - datetime.timedelta(days=days_old)
    litter = record_birth(
        dam=dam,
        born_on=born_on,
        pups=[PupFacts(sex=sex) for sex, _ in zip(sexes, widths, strict=True)],
        today=today,
        by=None,
        parents=Parents(sire, dam, possible_sires),
    )
    names = ("Alya", "Botein", "Chara", "Dabih", "Errai")
    for pup, name, width in zip(litter.pups.order_by("number"), names, widths, strict=False):
        animals.change_animal(pup.animal, call_name=name)
        animals.add_measurement(pup.animal, by=None, on=today, disc_width_mm=width)
    if fed:
        eaten(litter, born_on + datetime.timedelta(days=days_old // 2))
    return litter


def eaten(litter, on):
    """A round that all its pups took, of a food that nobody named."""
    at = datetime.datetime.combine(on, datetime.time(9), tzinfo=datetime.UTC)
    feeding = Feeding.objects.create(fed_at=at)
    for one in litter.pups.filter(animal__isnull=False):
        feeding.meals.create(animal=one.animal, took="all")


def pup(litter, name):
    return litter.pups.get(animal__call_name=name).animal
