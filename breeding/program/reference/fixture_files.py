"""Where the files under fixtures/ lie: beside the code in a checkout, inside it once installed."""

from pathlib import Path, PurePosixPath

_CODE = Path(__file__).resolve().parents[2]
# Inside first: beside an installed package anybody's folder may happen to be called fixtures.
PLACES = (_CODE / "fixtures", _CODE.parent / "fixtures")


def fixture_path(name: str) -> Path:
    """The file or folder of this name under fixtures/, wherever they lie.

    The name is relative, with forward slashes. Raises ValueError when it leads outside, and
    FileNotFoundError, naming the places looked in, when there is no such file.

    >>> fixture_path("published/mrode_ch2.json").name
    'mrode_ch2.json'
    >>> fixture_path("../settings.py")
    Traceback (most recent call last):
    ValueError: '../settings.py' is no name under fixtures/: only a relative name without ".."
    """
    parts = PurePosixPath(name)
    if not parts.parts or parts.is_absolute() or ".." in parts.parts:
        raise ValueError(f'{name!r} is no name under fixtures/: only a relative name without ".."')
    for place in PLACES:
        if (found := place / parts).exists():
            return found
    looked = " or ".join(str(place) for place in PLACES)
    raise FileNotFoundError(f"There is no {name!r} in {looked}.")
