"""The codes in a picture, read on this computer alone; and what pictures of them come to."""

from collections.abc import Iterable, Sequence

from breeding.animals.pictures.portraits import grey_picture
from breeding.exchange.ancestry.reading import Refused
from breeding.exchange.codes.packed import Gathered, Part, content_of, gathered, read_part
from breeding.words.language import tell

LONGEST_SIDE_PX = 3200  # of a page with several codes still some pixels for each square of a code
MOST_PICTURES = 24  # looked through at once
MOST_SHOWN = 60  # letters of a code that is told of
BEGINNINGS = (b"\xff\xd8\xff", b"\x89PNG\r\n", b"RIFF")


def is_picture(content: bytes) -> bool:
    """Whether these bytes begin as a photograph or a picture of a screen does."""
    return content.startswith(BEGINNINGS) or content[4:8] == b"ftyp"


def texts_in(picture: bytes) -> list[str]:
    """What the QR codes of a picture say, in any turn. Some 0.1 to 1 s.

    Raises ValueError, in words, where it is no picture that can be read.
    """
    import zxingcpp

    codes = zxingcpp.BarcodeFormats([zxingcpp.BarcodeFormat.QRCode])
    grey = grey_picture(picture, longest_side_px=LONGEST_SIDE_PX)
    found = zxingcpp.read_barcodes(grey, formats=codes, text_mode=zxingcpp.TextMode.Plain)
    return [one.text for one in found]


def parts_in(pictures: Sequence[bytes]) -> list[Part]:
    """The parts of files that are seen in these pictures; whatever else is in them is left out.

    Raises Refused, in words, for a picture in which there is none.
    """
    if len(pictures) > MOST_PICTURES:
        raise Refused(
            tell(
                "These are {number} pictures; at most {most} are read at once.",
                number=len(pictures),
                most=MOST_PICTURES,
            )
        )
    found: list[Part] = []
    for number, picture in enumerate(pictures, start=1):
        try:
            texts = texts_in(picture)
        except ValueError as problem:
            raise Refused(_of_picture(str(problem), number, len(pictures))) from None
        parts = [part for text in texts if (part := read_part(text))]
        if not parts:
            raise Refused(_of_picture(_foreign(texts), number, len(pictures)))
        found += parts
    return found


def contents_of(files: Iterable[bytes]) -> list[bytes]:
    """What files are; pictures of codes among them as the files that they hold, after the others.

    Raises Refused, in words, also where a part is missing.
    """
    files = list(files)
    plain = [one for one in files if not is_picture(one)]
    pictures = [one for one in files if is_picture(one)]
    return plain + [content_of(one) for one in wholes_in(pictures)]


def wholes_in(pictures: Sequence[bytes], before: Iterable[Part] = ()) -> list[Gathered]:
    """What came before and what these pictures add, by file. Raises Refused, in words."""
    return gathered([*before, *parts_in(pictures)])


def _of_picture(problem: str, number: int, of: int) -> str:
    if of == 1:
        return problem
    return tell("Picture {number}: {problem}", number=number, problem=problem)


def _foreign(texts: Sequence[str]) -> str:
    """Why a picture is not taken, by what its codes say."""
    if not texts:
        return tell(
            "No code can be read in this picture. Hold the phone straight above it, so near that "
            "the code fills the picture, without glare. Where there is no code, choose the file."
        )
    first = texts[0][:MOST_SHOWN]
    if first.lower().startswith(("http:", "https:")):
        return tell(
            "This code is a link, {link}, and carries no ancestry itself. The code on a parentage "
            "sheet leads to its page: save the PDF there and choose that file.",
            link=first,
        )
    return tell(
        "This code is not of an ancestry: it says “{text}”.",
        text="".join(letter if letter.isprintable() else "·" for letter in first),
    )
