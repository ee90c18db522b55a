"""Marks on views that RoleMiddleware reads."""

from collections.abc import Callable
from typing import Any, TypeVar

View = TypeVar("View", bound=Callable[..., Any])


def keepers_only(view: View) -> View:
    view.needs_role = "keeper"  # type: ignore[attr-defined]
    return view


def owners_only(view: View) -> View:
    view.needs_role = "owner"  # type: ignore[attr-defined]
    return view


def for_who_sees_buyers(view: View) -> View:
    """For keepers, and for viewers whom an owner lets see buyers."""
    view.needs_role = "buyers"  # type: ignore[attr-defined]
    return view


def open_to_viewers(view: View) -> View:
    view.open_to_viewers = True  # type: ignore[attr-defined]
    return view


def never_looked_over(view: View) -> View:
    """What is tried here counts, also when the form is only to be looked over: a password."""
    view.never_looked_over = True  # type: ignore[attr-defined]
    return view
