"""The handbook's pictures, from the invented program: `python -m benchmarks.handbook_pictures`.

Starts the demonstration in a throw-away directory, as it stands on one fixed day, walks it with a
phone's window in each language and writes breeding/static/handbook/<language>/<chapter>.webp, with
the words one reads on it beside it; last the README's picture of the front page. Run it when
tests/help/test_handbook_pictures.py says so.
Needs Chromium (RAYWARD_CHROMIUM names another than /usr/bin/chromium).
"""

import argparse
import io
import os
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from PIL import Image
from playwright.sync_api import Page, ViewportSize, sync_playwright

if TYPE_CHECKING:
    from breeding.help.chapters import Chapter

HERE = "127.0.0.1:8791"
BASE = f"http://{HERE}"
WINDOW: ViewportSize = {"width": 390, "height": 680}
PIXELS_A_POINT = 1.5
QUALITY = 50
PHONE: ViewportSize = {"width": 390, "height": 844}
DESK: ViewportSize = {"width": 1280, "height": 844}
FRONT, GAP, COLOURS = Path("fixtures/pictures/day.png"), 12, 128
OWNER, PASSWORD = "jo", "lantern-street"
SERVE = "--serve"
SEEN = """() => {
  const texts = document.createTreeWalker(document.querySelector("main"), NodeFilter.SHOW_TEXT);
  const seen = [], span = document.createRange();
  while (texts.nextNode()) {
    if (!texts.currentNode.textContent.trim()) continue;
    span.selectNodeContents(texts.currentNode);
    const box = span.getBoundingClientRect();
    if (box.width > 1 && box.height > 1 && box.top < innerHeight) {
      seen.push(texts.currentNode.textContent);
    }
  }
  return seen;
}"""


def main() -> None:
    if SERVE in sys.argv[1:]:
        _serve()
        return
    argparse.ArgumentParser(description=__doc__).parse_args()
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")
    import django

    django.setup()
    from django.conf import settings

    with _demonstration():
        for language, _ in settings.LANGUAGES:
            _walk(language)
        _front()


def _walk(language: str) -> None:
    """One picture a chapter, in this language."""
    from breeding.help.chapters import CHAPTERS

    with _window(WINDOW, language, PIXELS_A_POINT) as page:
        for one in CHAPTERS:
            if one.picture_of:
                _take(page, one, language)


@contextmanager
def _window(size: ViewportSize, language: str, pixels: float) -> Iterator[Page]:
    """A window of the browser in which the owner is signed in."""
    chromium = os.environ.get("RAYWARD_CHROMIUM", "/usr/bin/chromium")
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
        page = browser.new_context(
            viewport=size,
            device_scale_factor=pixels,
            locale=language,
            color_scheme="light",
            reduced_motion="reduce",
            service_workers="block",
        ).new_page()
        _sign_in(page)
        yield page
        browser.close()


def _front() -> None:
    """The front page on a phone and on a desk, beside each other: what the README shows."""
    taken = []
    for size in (PHONE, DESK):
        with _window(size, "en-GB", 1) as page:
            page.goto(BASE, wait_until="networkidle")
            taken.append(Image.open(io.BytesIO(page.screenshot())).convert("RGB"))
    both = Image.new("RGB", (sum(one.width for one in taken) + GAP, taken[0].height), "white")
    both.paste(taken[0], (0, 0))
    both.paste(taken[1], (taken[0].width + GAP, 0))
    both.quantize(COLOURS, dither=Image.Dither.NONE).save(FRONT, optimize=True)
    print(f"{FRONT}: {FRONT.stat().st_size / 1000:.0f} kB", flush=True)


def _sign_in(page: Page) -> None:
    page.goto(BASE)
    page.fill("[name=username]", OWNER)
    page.fill("[name=password]", PASSWORD)
    page.locator("main form button").first.click()
    page.wait_for_load_state()


def _take(page: Page, one: "Chapter", language: str) -> None:
    from benchmarks.handbook_pages import (
        ROOT,
        address_of,
        note_of,
        note_path,
        picture_path,
        words_of,
        words_seen,
    )

    def read(address: str) -> str:
        return page.request.get(BASE + address, headers={"accept-language": language}).text()

    address = address_of(one.picture_of, read)
    page.goto(BASE + address, wait_until="networkidle")
    picture = _small(page.screenshot())
    words = words_seen(words_of(read(address)), page.evaluate(SEEN))
    path = picture_path(one, language)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(picture)
    note_path(one, language).write_text(note_of(picture, words), "utf-8")
    print(f"{path.relative_to(ROOT)}: {len(picture) / 1000:.0f} kB", flush=True)


def _small(screenshot: bytes) -> bytes:
    file = io.BytesIO()
    Image.open(io.BytesIO(screenshot)).convert("RGB").save(file, "WEBP", quality=QUALITY, method=6)
    return file.getvalue()


def _serve() -> None:
    """The invented program as it stands at the fixed moment."""
    from benchmarks.handbook_pages import MOMENT
    from breeding.__main__ import main as manage
    from breeding.program import clock

    clock.now = lambda: MOMENT
    sys.argv[1:] = ["start", "--demo", "--listen", HERE]
    manage()


@contextmanager
def _demonstration() -> Iterator[None]:
    """It lives on this machine alone, for as long as it is walked through."""
    command = [sys.executable, "-m", "benchmarks.handbook_pictures", SERVE]
    environment = {**os.environ, "DJANGO_SETTINGS_MODULE": "breeding.settings"}
    server = subprocess.Popen(  # noqa: S603 - our own program
        command, env=environment, stdout=subprocess.DEVNULL
    )
    try:
        _wait_for(server)
        yield
    finally:
        server.terminate()
        server.wait(timeout=30)


def _wait_for(server: "subprocess.Popen[bytes]") -> None:
    for _ in range(2400):
        if server.poll() is not None:
            raise SystemExit("The demonstration did not start.")
        try:
            urllib.request.urlopen(f"{BASE}/healthz", timeout=2)  # noqa: S310 - our own server
            return
        except OSError:
            time.sleep(0.5)
    raise SystemExit("The demonstration did not answer in time.")


if __name__ == "__main__":
    main()
