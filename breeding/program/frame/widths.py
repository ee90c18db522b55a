"""Which widths of a drawing travel: the one that this browser's window shows, as its script told.

The style sheet alone says from where on a drawing is wide (`--drawings` in look.css), and shows
that one where both are there; static/width.js reads it there, keeps it in the cookie and brings
what the page lacks.
"""

from django.http import HttpRequest

COOKIE = "rayward_width"  # of the window; nothing of who looks into it
WIDTHS = ("narrow", "wide")


def widths_shown(request: HttpRequest) -> tuple[str, ...]:
    """The width of drawings to send; every one where it is not known. Answers vary by cookie."""
    told = request.COOKIES.get(COOKIE)
    return (told,) if told in WIDTHS else WIDTHS
