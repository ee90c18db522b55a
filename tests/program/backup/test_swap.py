"""A crash at any moment of a restore leaves the old or the new, never a part of each."""

import os
import shutil
from pathlib import Path

import pytest

from breeding import home_swap
from breeding.home_swap import Swap

OLD = {"rayward.sqlite3": "old", "secret_key": "old", "listings.json": "old", "files/a": "old"}
NEW = {"rayward.sqlite3": "new", "secret_key": "new", "files/b": "new"}
CALLS = ("replace", "unlink", "fsync", "mkdir", "rmdir")


class Killed(BaseException):
    """As by kill -9: nothing after it is done."""


def lay(folder: Path, files: dict[str, str]) -> None:
    for name, content in files.items():
        file = folder / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(content)


def lying(folder: Path) -> dict[str, str]:
    """What the program would find, without what was put aside or is passing."""
    return {
        file.relative_to(folder).as_posix(): file.read_text()
        for file in sorted(folder.rglob("*"))
        if file.is_file()
        and file.relative_to(folder).parts[0] not in ("aside", home_swap.MARKER, "running.lock")
        and not file.relative_to(folder).parts[0].startswith(".")
    }


@pytest.fixture
def laid(tmp_path):
    def again(token: str = "") -> tuple[Path, Swap]:
        place = tmp_path / "home"
        shutil.rmtree(place, ignore_errors=True)
        lay(place, OLD)
        lay(place / ".restoring-1", NEW)
        leaving = ["rayward.sqlite3-wal", "rayward.sqlite3", "secret_key", "listings.json"]
        coming = ["rayward.sqlite3", "files", "secret_key"]
        return place, Swap(".restoring-1", "aside", leaving, coming, token)

    return again


def killed_at(monkeypatch, call: int) -> None:
    """The process dies at this call to the system, counted from now."""
    left = [call]

    def dying(real):
        def at(*given, **named):
            left[0] -= 1
            if left[0] < 0:
                raise Killed
            return real(*given, **named)

        return at

    for name in CALLS:
        monkeypatch.setattr(os, name, dying(getattr(os, name)))


@pytest.mark.parametrize("token", ["", "t"])
@pytest.mark.parametrize("database_is_new", [True, False])
def test_whenever_it_is_killed_it_is_finished_or_never_begun(
    laid, monkeypatch, token, database_is_new
):
    seen = set()
    for call in range(200):
        place, swap = laid(token)
        with monkeypatch.context() as patch:
            killed_at(patch, call)
            try:
                home_swap.begin(place, swap)
                home_swap.finish(place, lambda _: database_is_new)
                ended = True
            except Killed:
                ended = False
        was_begun = home_swap.is_begun(place)
        monkeypatch.setattr(home_swap, "_database_has", lambda _: database_is_new)
        home_swap.finish_interrupted(place)
        home_swap.sweep(place)
        found = lying(place)
        assert found in (OLD, NEW), f"killed at call {call}"
        if was_begun or ended:
            assert found == (NEW if database_is_new or not token else OLD)
        seen.add("new" if found == NEW else "old")
        assert not home_swap.is_begun(place)
        assert list(place.glob(".restoring-*")) == []
        if found == NEW:
            assert lying(place / "aside") == {**OLD}
        if ended:
            break
    assert ended
    assert seen == ({"old", "new"} if database_is_new or not token else {"old"})


def test_it_can_be_killed_again_while_it_is_finished(laid, monkeypatch):
    for call in range(5, 40):
        place, swap = laid()
        home_swap.begin(place, swap)
        for _ in range(3):
            with monkeypatch.context() as patch:
                killed_at(patch, call % 7)
                try:
                    home_swap.finish_interrupted(place)
                except Killed:
                    continue
        home_swap.finish_interrupted(place)
        home_swap.sweep(place)
        assert lying(place) == NEW


def test_what_was_done_is_said(laid):
    place, swap = laid()
    assert home_swap.finish_interrupted(place) == ""
    home_swap.begin(place, swap)
    assert "had been interrupted; it is finished now" in home_swap.finish_interrupted(place)
