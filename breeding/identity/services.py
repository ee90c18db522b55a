"""Acts of identity: a picture kept, its disc marked, its spots put right, its animal told."""

import datetime

import numpy as np
from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.db import transaction

from breeding.animals.models import Animal, Photograph
from breeding.animals.pictures.portraits import CleanPicture, ReadPicture
from breeding.animals.services import add_photograph
from breeding.identity.arrays import spots_of, stored_spots
from breeding.identity.models import PatternReading, SaidTwo, UntoldPicture, of_picture
from breeding.identity.straight import pixels_of
from breeding.identity.taps import Tap, against, as_array, off_picture
from breeding.program.models import Person
from breeding.spots import read_picture as read_spots
from breeding.words.days import plain_day
from breeding.words.language import tell

MOST_SPOTS = 200  # on one disc; more would be a slip of a script
ADDED_RADIUS = 0.04  # half widths: of a spot that is tapped where there is none yet to go by
UNDER_TAP = 0.06  # half widths: a tap as near as this means the spot that is there


@transaction.atomic
def keep_untold(
    read: ReadPicture,
    *,
    taken_on: datetime.date,
    today: datetime.date,
    by: Person | None,
    note: str = "",
) -> UntoldPicture:
    """Keep a picture of which nobody has said yet who it is. Raises ValidationError by field."""
    check_day(taken_on, today)
    kept = UntoldPicture(
        width_px=read.clean.width,
        height_px=read.clean.height,
        taken_on=taken_on,
        note=note,
        recorded_by=by,
    )
    kept.picture.save("untold.jpg", ContentFile(read.clean.jpeg_bytes), save=False)
    kept.thumbnail.save("untold-small.jpg", ContentFile(read.thumbnail), save=False)
    kept.save()
    return kept


def check_day(taken_on: datetime.date, today: datetime.date) -> None:
    """Raises ValidationError for a day that has not come yet."""
    if taken_on > today:
        raise ValidationError(
            {
                "taken_on": tell(
                    "{day} has not come yet; a picture is of {today} or earlier.",
                    day=plain_day(taken_on),
                    today=plain_day(today),
                )
            }
        )


@transaction.atomic
def change_untold(
    record: UntoldPicture, *, taken_on: datetime.date, note: str, today: datetime.date
) -> UntoldPicture:
    """Put its day and its note right. Raises ValidationError by field."""
    check_day(taken_on, today)
    record.taken_on, record.note = taken_on, note
    record.save()
    return record


@transaction.atomic
def mark_disc(subject: Photograph | UntoldPicture, taps: tuple[Tap, ...]) -> PatternReading:
    """Read the spots of a disc by its four taps; what was read before of this picture goes.

    Raises ValidationError for taps that are no disc, and for a picture whose file is missing.
    """
    if len(taps) != 4:
        raise ValidationError(tell("Four taps are needed; there are {number}.", number=len(taps)))
    width, height = subject.width_px, subject.height_px
    if problem := off_picture(taps, width=width, height=height) or against(taps):
        raise ValidationError(problem)
    try:
        with subject.picture.open("rb") as file:
            found = read_spots(pixels_of(file), as_array(taps))
    except FileNotFoundError:
        raise ValidationError(tell("The file of this picture is missing.")) from None
    reading, _ = PatternReading.objects.update_or_create(
        **of_picture(subject),
        defaults={
            "taps": [list(tap) for tap in taps],
            "spots": stored_spots(found.spots),
            "finder": found.finder,
            "is_light": found.light,
            "contrast": found.contrast,
            "grain": found.grain,
            "is_corrected": False,
            "is_used": True,
            "like": None,
            "compared_at": None,
        },
    )
    return reading


@transaction.atomic
def tap_spot(reading: PatternReading, x: float, y: float) -> bool:
    """Take away the spot under a tap, or add one where none is; True where one was added.

    x, y: in the disc's frame. Raises ValidationError for a tap off the disc.
    """
    kept = PatternReading.objects.select_for_update().get(pk=reading.pk)
    if not np.hypot(x, y) <= 1.05:
        raise ValidationError(tell("That is off the disc; tap a spot on it."))
    spots = spots_of(kept.spots)
    far = np.hypot(spots[:, 0] - x, spots[:, 1] - y)
    near = far <= np.maximum(spots[:, 2], UNDER_TAP)
    if near.any():
        spots = np.delete(spots, int(np.where(near, far, np.inf).argmin()), axis=0)
    elif len(spots) >= MOST_SPOTS:
        raise ValidationError(
            tell("There are {number} spots already; no disc needs more.", number=len(spots))
        )
    else:
        usual = float(np.median(spots[:, 2])) if len(spots) else ADDED_RADIUS
        spots = np.vstack([spots, [x, y, usual]])
    kept.spots, kept.is_corrected = stored_spots(spots), True
    kept.save(update_fields=["spots", "is_corrected"])
    return not near.any()


@transaction.atomic
def use_reading(reading: PatternReading, *, used: bool) -> PatternReading:
    """Whether it serves to tell who is who: a picture from the side does not."""
    reading.is_used = used
    if used:
        reading.compared_at = None
    reading.save(update_fields=["is_used", "compared_at"])
    return reading


@transaction.atomic
def tell_who(
    untold: UntoldPicture, animal: Animal, *, by: Person | None, today: datetime.date
) -> Photograph:
    """It is this animal: the picture becomes one of its own, with the spots that were read.

    Raises ValidationError where it was told already, and where that animal cannot have been
    pictured on that day.
    """
    kept = (
        UntoldPicture.objects.select_for_update(of=("self",))
        .select_related("became")
        .get(pk=untold.pk)
    )
    if kept.became and not kept.became.is_withdrawn:
        raise ValidationError(
            tell("It was said already: it is {animal}.", animal=kept.became.animal.name)
        )
    try:
        with kept.picture.open("rb") as whole, kept.thumbnail.open("rb") as small:
            clean = CleanPicture(whole.read(), kept.width_px, kept.height_px)
            read = ReadPicture(clean, small.read())
    except FileNotFoundError:
        raise ValidationError(tell("The file of this picture is missing.")) from None
    photograph = add_photograph(
        animal,
        read,
        by=by,
        taken_on=kept.taken_on,
        caption=kept.note,
        as_portrait=animal.portrait_id is None,
        today=today,
    )
    kept.became = photograph
    kept.save(update_fields=["became"])
    for reading in PatternReading.objects.filter(untold=kept):
        reading.untold, reading.photograph = None, photograph
        reading.save(update_fields=["untold", "photograph"])
    return photograph


@transaction.atomic
def say_two(one: Animal, other: Animal, *, by: Person | None, note: str = "") -> SaidTwo:
    """Somebody has looked: these are two animals. Said before, it stays once.

    Raises ValidationError for one and the same.
    """
    if one.pk == other.pk:
        raise ValidationError(tell("These are not two animals."))
    first, second = sorted((one, other), key=lambda animal: animal.pk)
    said = SaidTwo.objects.filter(one=first, other=second).first()
    return said or SaidTwo.objects.create(one=first, other=second, note=note, recorded_by=by)
