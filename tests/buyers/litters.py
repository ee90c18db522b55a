"""One litter with measured pups, for the tests of wishes, sales and hand-overs."""

import datetime
from io import BytesIO

from PIL import Image

from breeding.animals import services as animals
from breeding.animals.parents.parentage import Parents
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
):
    """Pups of one birth, measured today; their names are Alya, Botein, Chara and so on."""
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
    return litter


def pup(litter, name):
    return litter.pups.get(animal__call_name=name).animal
