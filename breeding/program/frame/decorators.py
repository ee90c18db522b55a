"""Marks on views that RoleMiddleware reads."""

from collections.abc import Callable


def keepers_only(view: Callable) -> Callable:
    view.needs_role = "keeper"  # type: ignore[attr-defined]
    return view


def owners_only(view: Callable) -> Callable:
    view.needs_role = "owner"  # type: ignore[attr-defined]
    return view


def open_to_viewers(view: Callable) -> Callable:
    view.open_to_viewers = True  # type: ignore[attr-defined]
    return view
