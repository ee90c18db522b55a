"""Words of the species that come along, for other languages; keepers write others as they like."""

from breeding.words.language import message, tell_as

PROFILES = (
    message("hybrids"),
    message("any other of the family"),
    message("a blank live-bearing fish"),
)
SIZES = (message("size"), message("disc width"), message("standard length"))
LISTINGS = (
    message(
        "Check with the authority before you sell, move or breed it; a hybrid can fall under the "
        "rules for a listed parent or grandparent. Nothing here says that anything is allowed."
    ),
    message(
        "CITES Appendices I, II and III, as in force since 2023-02-23 for Appendix II and "
        "2017-01-03 for Appendix III"
    ),
    message(
        "CITES Resolution Conf. 10.17 (Rev.) on animal hybrids: recent lineage, the last four "
        "generations; from memory, check the text in force"
    ),
)
# What the trade says in another language where that is known to be said (common practice, without
# a source); the scientific name, where nothing is.
IN_THE_TRADE = (
    message("ocellate river stingray"),
    message("Xingu river ray"),
    message("bigtooth river ray"),
    message("pearl ray"),
    message("largespot river ray"),
    message("tiger ray"),
    message("raspy river ray"),
    message("cururu ray"),
    message("porcupine river ray"),
)
NOTES = (message("P. castexi is a synonym since 2011."),)


def several_said(many: str) -> str:
    """What several animals of a species are called.

    >>> several_said("rays"), several_said("goodeids")
    ('rays', 'goodeids')
    """
    said = {
        "rays": tell_as("several animals", "rays"),
        "fish": tell_as("several animals", "fish"),
    }
    return said.get(many, many)
