"""Where a line leads to, for those who read it elsewhere than on the front page."""

from django.urls import reverse

from breeding.agenda.lines import Line


def path_of(line: Line) -> str:
    """The path of the page a line is about; empty when it has none."""
    if line.address_of == "litters:detail":
        return reverse(line.address_of, args=[line.acts[0].argument])
    if line.address_of and line.animal is not None:
        return reverse(line.address_of, args=[line.animal.pk])
    return ""
