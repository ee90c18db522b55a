"""What axe-core says of a page, and the ways in which a page is looked at."""

from typing import Any, NamedTuple

import pytest

# axe-core is not ours to carry (MPL-2.0): it comes inside the wheel of this package of the tests.
base = pytest.importorskip("axe_playwright_python.base")

BEST = (
    *("heading-order", "empty-table-header", "scope-attr-valid", "region"),
    "label-content-name-mismatch",  # of WCAG 2.1 A, but axe-core asks it only when told
)
RULES = {
    "runOnly": {
        "type": "tag",
        "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"],
    },
    "rules": {rule: {"enabled": True} for rule in BEST},
    "resultTypes": ["violations"],
}


class Way(NamedTuple):
    """A window and its colours; 640 and 320 px stand for 1280 px enlarged two and four times."""

    width: int
    height: int
    colours: str


WINDOWS = ((390, 844), (1280, 900), (640, 512), (320, 256))
WAYS = [Way(width, height, colours) for colours in ("light", "dark") for width, height in WINDOWS]


def look(page: Any, way: Way) -> list[str]:
    """Every violation on the page that is open, as one line each, seen in this way."""
    page.set_viewport_size({"width": way.width, "height": way.height})
    page.emulate_media(color_scheme=way.colours)
    if page.evaluate("typeof axe === 'undefined'"):
        page.evaluate(base.AXE_SCRIPT)
    found = page.evaluate("rules => axe.run(rules).then(told => told.violations)", RULES)
    said = [
        f"{one['id']}: {node['html'][:160]} ({' '.join(node['failureSummary'].split())[:200]})"
        for one in found
        for node in one["nodes"]
    ]
    wide = page.evaluate("document.documentElement.scrollWidth")
    return [*said, *([f"it is {wide} px wide"] if wide > way.width else [])]
