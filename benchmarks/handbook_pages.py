"""What the handbook's pictures show: which pages, on which day, and the words one reads on them.

The script that takes the pictures and the test that holds them against the program ask here, so
that both look at the same page. The invented program is looked at on one fixed day: a picture
grows old when a page changes, and not because a day has passed.
"""

import datetime
import hashlib
import html
import re
from collections.abc import Callable, Sequence
from pathlib import Path
from zoneinfo import ZoneInfo

from django.urls import reverse

from breeding.help.chapters import Chapter, picture_name

ROOT = Path(__file__).resolve().parent.parent
PLACE = ROOT / "breeding" / "static"
COMMAND = "python -m benchmarks.handbook_pictures"
MOMENT = datetime.datetime(2026, 6, 17, 6, 30, tzinfo=ZoneInfo("Europe/London"))
# Pages of one record: the list on which the first link to one stands, and what is behind it.
FOUND_ON = {
    "pairings:female": ("/pairings/season/", r'href="(/pairings/female/\d+/)"', ""),
    "pairings:nursery": ("/pairings/season/", r'href="(/pairings/female/\d+/)"', "nursery/"),
    "litters:detail": ("/litters/", r'href="(/litters/\d+/)"', ""),
}
UNREAD = re.compile(r"<(script|style|template|svg|select|datalist)\b.*?</\1>|<!--.*?-->", re.DOTALL)


def address_of(route: str, read: Callable[[str], str]) -> str:
    """Where the page pictured stands; `read` gives the text of a page by its address."""
    if route not in FOUND_ON:
        return reverse(route)
    listed, pattern, behind = FOUND_ON[route]
    found = re.search(pattern, read(listed))
    if found is None:
        raise LookupError(f"{listed} leads to no page of {route}; was the list changed?")
    return found[1] + behind


def words_of(page: str) -> str:
    """The words between the page's head and its foot, without tags.

    >>> words_of("<h1>No</h1><main id='x'><h1>The  day</h1><p>4 &lt; 5</p></main>")
    'The day 4 < 5'
    """
    inside = page.partition("<main")[2].partition(">")[2].partition("</main>")[0]
    words = html.unescape(re.sub(r"<[^>]*>", " ", UNREAD.sub(" ", inside))).split()
    return " ".join(
        "…" if word.count("/") > 1 else word for word in words
    )  # no place of a computer


def words_seen(words: str, seen: Sequence[str]) -> str:
    """As much of a page's words as a picture shows: up to the last piece that is in it.

    >>> words_seen("The day 3 things Now Mira Soon Vega", ["The day", "Now", "Mira"])
    'The day 3 things Now Mira'
    """
    end = 0
    for piece in seen:
        at = words.find(" ".join(piece.split()), end)
        if at >= 0:
            end = at + len(" ".join(piece.split()))
    return words[:end]


def picture_path(one: Chapter, language: str) -> Path:
    return PLACE / picture_name(one.key, language)


def note_path(one: Chapter, language: str) -> Path:
    """Beside each picture a text: which file it is of, and the words one reads on it."""
    return picture_path(one, language).with_suffix(".txt")


def note_of(picture: bytes, words: str) -> str:
    return f"{hashlib.sha256(picture).hexdigest()}\n{words}\n"
