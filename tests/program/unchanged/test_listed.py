"""DEVELOPERS.md lists every answer that is kept, by what makes it anew, and no other."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[3]
KEEPERS = {
    "kept_records",
    "kept_while_unchanged",
    "kept_from_page_to_page",
    "kept_while_growing",
    "kept_beside_written",
    "kept_of_each",
}
GROUPS = {
    "unchanged": "**Until any of their tables is written to**",
    "growing": "**They outlive rows that are added and do not matter to them**",
    "each": "**Of each by itself",
}


def calls() -> Iterator[tuple[str, str]]:
    """Each call of a keeper: its group, and `path::function` as the list names it."""
    for path in sorted((ROOT / "breeding").rglob("*.py")):
        inside = path.relative_to(ROOT / "breeding")
        if inside.parts[:2] == ("program", "unchanged"):
            continue
        for function in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(function, ast.FunctionDef):
                for one in ast.walk(function):
                    if isinstance(one, ast.Call) and getattr(one.func, "id", "") in KEEPERS:
                        yield _group(one), f"{inside.as_posix()}::{function.name}"


def _group(call: ast.Call) -> str:
    keeper = ast.unparse(call.func)
    if keeper == "kept_of_each":
        return "each"
    if keeper == "kept_beside_written":
        return "growing"
    more = [ast.unparse(one) for one in call.args[2:]]
    more += [ast.unparse(one.value) for one in call.keywords if one.arg != "alike"]
    return "growing" if any(one != "{}" for one in more) else "unchanged"


@pytest.mark.parametrize("group", GROUPS)
def test_every_kept_answer_is_listed_by_what_makes_it_anew(group):
    text = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    _, after = text.split(GROUPS[group])
    listed = set(re.findall(r"`([\w/]+\.py::\w+)`", after.split("\n\n")[0]))
    assert listed == {name for found, name in calls() if found == group}
