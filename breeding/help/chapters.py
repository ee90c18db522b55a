"""The chapters of the handbook in their order, and where the picture of each was taken."""

from dataclasses import dataclass

from django.conf import settings
from django.contrib.staticfiles import finders
from django.utils.translation import get_language

from breeding.words.language import message, tell


@dataclass(frozen=True)
class Chapter:
    """title: a message. picture_of: the route whose page is the chapter's picture, if any.

    shows: a message, what one sees on the picture, for whoever cannot see it.
    """

    key: str
    title: str
    picture_of: str = ""
    shows: str = ""

    @property
    def heading(self) -> str:
        return tell(self.title)

    @property
    def shown(self) -> str:
        return tell(self.shows) if self.shows else ""

    @property
    def template(self) -> str:
        return f"help/chapters/{self.key.replace('-', '_')}.html"

    @property
    def picture(self) -> str:
        """The picture's static file in the language of whoever reads, else in English, or none."""
        if not self.picture_of:
            return ""
        for language in (get_language() or "", settings.LANGUAGE_CODE.partition("-")[0]):
            name = picture_name(self.key, language)
            if finders.find(name):
                return name
        return ""


def picture_name(key: str, language: str) -> str:
    return f"handbook/{language}/{key}.webp"


CHAPTERS = (
    Chapter(
        "first-steps",
        message("First steps"),
        "animals:index",
        message(
            "The list of animals on a phone: buttons for a new animal and for a table, a search, "
            "and the first row."
        ),
    ),
    Chapter(
        "every-morning",
        message("Every morning"),
        "agenda:day",
        message(
            "The day: a line for each thing to do, with a portrait, until when, and a button that "
            "does it."
        ),
    ),
    Chapter(
        "log-a-sighting",
        message("Log a sighting"),
        "pairings:log",
        message(
            "The log page: tabs for seen, fed, weighed, water and note, a search, and a tile with "
            "a portrait for each animal, the likely ones first."
        ),
    ),
    Chapter(
        "when-is-she-due",
        message("When is she due, and why"),
        "pairings:female",
        message(
            "A female's season: what can be done, then a drawing of the months with what was "
            "seen, the due window and who was with her."
        ),
    ),
    Chapter(
        "separate-and-prepare",
        message("Separate her and prepare the nursery"),
        "pairings:nursery",
        message(
            "The nursery list of a female: by when it is wanted, and each point with its tick and "
            "its button."
        ),
    ),
    Chapter(
        "a-birth",
        message("A birth"),
        "litters:detail",
        message(
            "A litter's page: a warning until the males are ticked as away, then dam, sire and "
            "gestation."
        ),
    ),
    Chapter(
        "raising-pups",
        message("Raising pups"),
        "litters:index",
        message(
            "The list of litters: buttons to record a birth and to decide whom to hold back, a "
            "search, and the newest litter."
        ),
    ),
    Chapter(
        "feeding",
        message("Feeding"),
        "feeding:index",
        message(
            "A round of feeding: for each tank how many animals, what they got last, a suggested "
            "amount, and one button for “all ate”."
        ),
    ),
    Chapter(
        "water",
        message("Water"),
        "housing:waters",
        message(
            "The water page: for each tank whether its water is fit, when it was changed, what is "
            "due, and buttons to log it."
        ),
    ),
    Chapter(
        "who-with-whom",
        message("Who with whom"),
        "planning:season",
        message(
            "The plan of the season: each pair with its F, its known ancestors and what a litter "
            "does for the program."
        ),
    ),
    Chapter(
        "selling-and-sheets",
        message("Selling and sheets"),
        "buyers:waiting",
        message(
            "The waiting list: who waits for what, which pups fit, and what the others still lack."
        ),
    ),
    Chapter(
        "backup-and-moving",
        message("Backup and moving house"),
        "program:backups",
        message(
            "The page of backups: a button to take one now, those taken so far, and what is in one."
        ),
    ),
    Chapter(
        "no-network",
        message("When the network is gone"),
        "agenda:cards",
        message(
            "All animals on cards, tank by tank: name, code, sex and what is expected; a tap "
            "opens the rest."
        ),
    ),
)
BY_KEY = {one.key: one for one in CHAPTERS}
