"""Every named address of the rooms, found in the routes themselves: none can be forgotten."""

from collections.abc import Iterator
from typing import Any

from django.urls import NoReverseMatch, URLPattern, URLResolver, get_resolver, reverse

from breeding.program.acts.mending import kinds

KEYS = (1, 2, 3, 999_999, 99_999_999_999_999_999_999)
TOKENS = ("dam", "nothing", "%00", "\x00", "..", "a" * 300, "é☃")


def _named(resolver: URLResolver, rooms: tuple[str, ...]) -> Iterator[tuple[str, tuple[str, ...]]]:
    for one in resolver.url_patterns:
        if isinstance(one, URLResolver):
            if one.app_name != "admin":  # Django's own pages; tested by hand where they matter
                yield from _named(one, (*rooms, one.namespace) if one.namespace else rooms)
        elif isinstance(one, URLPattern) and one.name:
            yield ":".join((*rooms, one.name)), tuple(one.pattern.converters)


def routes() -> list[tuple[str, tuple[str, ...]]]:
    """Every named route with the names of its parts."""
    return sorted(set(_named(get_resolver(), ())))


ROUTES = routes()
NAMES = [route for route, _ in ROUTES]


def is_number(part: str) -> bool:
    return part.endswith("pk") or part == "number"


def address(route: str, parts: tuple[str, ...], number: int = 1, token: str = "x") -> str:
    """The route's address with one number for every key and one word for every token."""
    values: dict[str, Any] = {part: number if is_number(part) else token for part in parts}
    return reverse(route, kwargs=values)


def leading(parts: tuple[str, ...]) -> tuple[str, ...]:
    """Words of an address that lead somewhere, where they are known."""
    return tuple(kind.key for kind in kinds()) if "kind" in parts else ()


def tokens(parts: tuple[str, ...]) -> tuple[str, ...]:
    """What may stand for the words of an address: those that lead somewhere first."""
    return ("",) if all(map(is_number, parts)) else (*leading(parts), *TOKENS)


def addresses(route: str, parts: tuple[str, ...]) -> list[str]:
    """The route's address with rows that are there and rows that are not."""
    found = []
    for key in KEYS if any(map(is_number, parts)) else (1,):
        for token in tokens(parts):
            try:
                found.append(address(route, parts, key, token))
            except NoReverseMatch:
                continue
    return found
