"""The demonstration's spots: some discs marked on their pictures, and one picture of nobody yet."""

import cmath
import datetime
from io import BytesIO

from PIL import Image, ImageEnhance

from breeding.animals.models import Photograph
from breeding.animals.pictures.portraits import read_picture
from breeding.demo.acts import House
from breeding.identity.services import keep_untold, mark_disc

DAYS_BEFORE = 1  # when all of it was done
MARKED = 10  # animals; reading a picture takes a tenth of a second
MIDDLE, HALF = (0.5, 0.405), 0.318  # of the disc, as shares of the side of a drawing
TURNED_DEGREES, DARKER = 14, 0.88


def mark_spots(on: datetime.date, house: House) -> None:
    """Mark some discs, and keep a picture of one of them as if nobody knew who it was."""
    here = [one for one in house.rays.values() if one.is_here and one.portrait_id]
    pictures = list(Photograph.objects.filter(pk__in=[one.portrait_id for one in here[-MARKED:]]))
    for picture in pictures:
        mark_disc(picture, _taps(picture.width_px))
    if pictures:
        _netted(on, house, pictures[0])


def _netted(on: datetime.date, house: House, picture: Photograph) -> None:
    """As it came out of the net: turned a little, and darker than on record."""
    side = picture.width_px
    with picture.picture.open("rb") as file, Image.open(file) as drawn:
        turned = drawn.convert("RGB").rotate(
            TURNED_DEGREES,
            center=(MIDDLE[0] * side, MIDDLE[1] * side),
            resample=Image.Resampling.BICUBIC,
            fillcolor=(222, 208, 178),
        )
    kept = BytesIO()
    ImageEnhance.Brightness(turned).enhance(DARKER).save(kept, "JPEG", quality=85)
    kept.seek(0)
    untold = keep_untold(
        read_picture(kept),
        taken_on=on,
        today=on,
        by=house.people["sam"],
        note="netted beside the inflow",
    )
    mark_disc(untold, _taps(side, TURNED_DEGREES))


def _taps(side: int, turned_degrees: float = 0) -> tuple[tuple[float, float], ...]:
    """Snout, left, right and tail of a drawing, turned against the clock."""
    turn = cmath.rect(HALF * side, -cmath.pi * turned_degrees / 180)
    middle = complex(*MIDDLE) * side
    places = [middle + turn * corner for corner in (-1j, -1, 1, 1j)]
    return tuple((round(one.real, 1), round(one.imag, 1)) for one in places)
