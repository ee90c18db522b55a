"""What each kind of sign of the program's own list is called and explained as, to be translated."""

from typing import NamedTuple

from breeding.words.language import message


class SignWords(NamedTuple):
    """Its name by itself, within a sentence, and what is meant by it."""

    label: str
    within: str
    explanation: str


SIGNS = {
    "following": SignWords(message("Following"), message("following"), message("He follows her.")),
    "parallel_swimming": SignWords(
        message("Swimming in parallel"),
        message("swimming in parallel"),
        message("The male above the female, moving as one."),
    ),
    "biting": SignWords(
        message("Biting"), message("biting"), message("He bites or holds the edge of her disc.")
    ),
    "fresh_bite_marks": SignWords(
        message("Fresh bite marks"),
        message("fresh bite marks"),
        message("On the edge of her disc, made within the last days."),
    ),
    "healing_marks": SignWords(
        message("Earlier marks again"),
        message("earlier marks again"),
        message("Marks seen before, looked at again: better or worse?"),
    ),
    "copulation": SignWords(
        message("Mating"),
        message("mating"),
        message("Belly to belly, seen with your own eyes."),
    ),
    "fleeing": SignWords(
        message("Fleeing, refusing"),
        message("fleeing, refusing"),
        message("She flees from him or throws him off."),
    ),
    "off_food": SignWords(message("Off food"), message("off food"), message("Food is refused.")),
    "eats_again": SignWords(
        message("Eating again"),
        message("eating again"),
        message("Takes food after having refused it."),
    ),
    "domed_back": SignWords(
        message("Back domed"),
        message("back domed"),
        message("Her back stands high over the disc."),
    ),
    "belly_sunken": SignWords(
        message("Belly sunken"),
        message("belly sunken"),
        message("Flat or hollow where she was full: look for pups."),
    ),
    "other": SignWords(
        message("Something else"), message("something else"), message("Say what in the note.")
    ),
}
