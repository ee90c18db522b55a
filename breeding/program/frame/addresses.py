"""Where the page of a record is: the address of a route is looked up once for all its records."""

from functools import cache

from django.urls import get_script_prefix, reverse


def page_of(route: str, key: int | None) -> str:
    """What `reverse` says of a route that takes one number, a quarter as dear: pages name many.

    Raises NoReverseMatch for what has no number yet.
    """
    if key is None:
        return reverse(route, args=[key])
    before, after = _around_the_number(route, get_script_prefix())
    return f"{before}{key}{after}"


@cache
def _around_the_number(route: str, _prefix: str) -> tuple[str, str]:
    before, _, after = reverse(route, args=[0]).rpartition("0")
    return before, after
