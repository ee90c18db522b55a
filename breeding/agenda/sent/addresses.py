"""Where a line leads to, for those who read it elsewhere than on the front page."""

from django.urls import reverse

from breeding.agenda.lines.line import Line


def path_of(line: Line) -> str:
    """The path of the page a line is about."""
    return reverse(line.kind.page, args=[] if line.page_of is None else [line.page_of])
