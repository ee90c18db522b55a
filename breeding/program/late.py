"""What a room hands down by its dotted name, so that a start reads none of it."""

from collections.abc import Callable
from typing import Any

from django.utils.module_loading import import_string


def late(place: str) -> Callable[..., Any]:
    """The function of this name, which is read when it is called for the first time.

    For an AppConfig.ready: what only some pages and acts need brings much with it.
    """

    def called(*given: Any, **named: Any) -> Any:
        return import_string(place)(*given, **named)

    return called
