"""What somebody signs in with, in plain words, from what a browser says about itself."""

from breeding.words.language import message, tell

MOST_CHARACTERS = 1000

# The first that fits counts: many browsers also name those they are like.
BROWSERS = (
    ("Edg", "Edge"),
    ("OPR/", "Opera"),
    ("SamsungBrowser", "Samsung Internet"),
    ("Firefox", "Firefox"),
    ("FxiOS", "Firefox"),
    ("CriOS", "Chrome"),
    ("Chrome", "Chrome"),
    ("Chromium", "Chromium"),
    ("Safari", "Safari"),
)
KINDS = (
    ("iPad", message("a tablet")),
    ("Tablet", message("a tablet")),
    ("iPhone", message("a phone")),
    ("Mobile", message("a phone")),
    ("Android", message("a tablet")),
    ("Windows", message("a Windows computer")),
    ("Macintosh", message("a Mac")),
    ("CrOS", message("a Chromebook")),
    ("Linux", message("a Linux computer")),
)
UNKNOWN = message("an unknown device")


def device_words(agent: str) -> str:
    """The kind of device and its browser.

    >>> device_words("Mozilla/5.0 (Android 14; Mobile; rv:131.0) Gecko/131.0 Firefox/131.0")
    'a phone, Firefox'
    >>> device_words("curl/8.5.0")
    'an unknown device'
    """
    agent = agent[:MOST_CHARACTERS]
    named = [_first(KINDS, agent), _first(BROWSERS, agent)]
    return ", ".join(one for one in named if one) or UNKNOWN


def in_own_language(device: str) -> str:
    """What is kept of a device, as whoever reads it calls it."""
    return ", ".join(tell(one) for one in device.split(", "))


def _first(table: tuple[tuple[str, str], ...], agent: str) -> str:
    return next((words for mark, words in table if mark in agent), "")
