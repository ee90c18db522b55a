"""The log tells what went wrong and where, and holds nothing that is anybody's business."""

import logging

import pytest
from django.urls import reverse

from breeding import logs
from tests.routes import ROUTES, address, is_number

SECRET = "Zk3qJr5tZbVw9AkkPq2dRs_7-x"
OPENED_BY_WORDS = [(route, parts) for route, parts in ROUTES if "token" in parts]


@pytest.fixture
def told(tmp_path):
    """What the program's own log holds, with everything that the loggers of others say."""
    handler = logs.HomeLog(str(tmp_path))
    handler.setFormatter(logs.Discreet("{asctime} {levelname} {name}: {message}", style="{"))
    root = logging.getLogger()
    root.addHandler(handler)
    yield lambda: handler.folder.joinpath(logs.FILE).read_text(encoding="utf-8")
    root.removeHandler(handler)
    handler.close()


def test_there_are_addresses_that_open_something_to_whoever_holds_them():
    assert {"program:link", "agenda:feed", "sheets:shared", "offers:offer"} <= {
        route for route, _ in OPENED_BY_WORDS
    }


@pytest.mark.parametrize(("route", "parts"), OPENED_BY_WORDS)
def test_every_such_address_is_masked_however_short_its_token(route, parts):
    words = {part: 1 if is_number(part) else "dam" for part in parts} | {"token": "q7"}
    at = reverse(route, kwargs=words)
    assert logs.masked(f"Not Found: {at}") == f"Not Found: {at.replace('q7', logs.MASK)}"


@pytest.mark.django_db
def test_no_token_reaches_the_log_by_any_door(told, stranger, as_owner):
    stranger.raise_request_exception = as_owner.raise_request_exception = False
    for client in (stranger, as_owner):
        for route, parts in OPENED_BY_WORDS:
            at = address(route, parts, token=SECRET)
            for path in (at, f"{at}?next={at}", at.rstrip("/"), f"/x{at}", f"{at}more"):
                client.get(path)
                client.post(path, {"once": SECRET})
                client.head(path)
    written = told()
    assert "Not Found" in written
    assert SECRET not in written
    assert SECRET[:12] not in written


@pytest.mark.django_db
@pytest.mark.parametrize("broken", [ValueError, KeyError, RuntimeError])
def test_of_an_error_the_log_holds_the_kind_and_the_lines_of_code(
    told, as_owner, monkeypatch, broken
):
    def breaks(*_, **__):
        try:
            raise broken(f"Mira Sonntag, mira@example.org, {SECRET}")
        except broken as problem:
            raise RuntimeError(f"her {SECRET}") from problem

    monkeypatch.setattr("breeding.agenda.queries.the_day", breaks)
    as_owner.raise_request_exception = False
    assert as_owner.get(f"/?next=/link/{SECRET}/").status_code == 500
    written = told()
    assert "Internal Server Error" in written
    assert broken.__name__ in written
    assert ", in breaks" in written
    for private in ("Sonntag", "mira@", SECRET):
        assert private not in written


def test_what_the_server_in_front_says_is_masked_too(told):
    waitress = logging.getLogger("waitress")
    try:
        raise OSError(28, "No space left on device", f"/s/{SECRET}")
    except OSError:
        waitress.exception("Exception while serving %s", f"/calendar/{SECRET}/rayward.ics")
    logging.getLogger("django.security.csrf").warning("Forbidden: /link/%s/", SECRET)
    logging.getLogger("breeding.mail").error(
        "smtp://marigold:%s@mail.example.org refused marigold@example.org", SECRET
    )
    written = told()
    assert "Exception while serving /calendar/…/rayward.ics" in written
    assert "OSError: No space left on device" in written
    assert SECRET not in written
    assert "marigold" not in written


def test_a_name_cannot_begin_a_line_of_its_own(told):
    logging.getLogger("django.request").warning("Not Found: /a\nERROR breeding: all is lost")
    assert len(told().splitlines()) == 1


def test_the_log_is_turned_over_before_it_grows_too_large(tmp_path, monkeypatch):
    monkeypatch.setattr(logs, "MOST_BYTES", 300)
    handler = logs.HomeLog(str(tmp_path))
    for number in range(40):
        handler.handle(logging.makeLogRecord({"msg": f"line {number}", "levelno": 30}))
    handler.close()
    kept = list((tmp_path / "log").iterdir())
    assert len(kept) == 2
    assert max(path.stat().st_size for path in kept) <= 300


def test_a_directory_that_nobody_made_gets_no_log(tmp_path):
    handler = logs.HomeLog(str(tmp_path / "nowhere"))
    handler.handle(logging.makeLogRecord({"msg": "lost"}))
    assert not (tmp_path / "nowhere").exists()


def test_a_log_that_cannot_be_written_stops_nothing(tmp_path, capsys):
    (tmp_path / "log").write_text("in the way")
    handler = logs.HomeLog(str(tmp_path))
    handler.handle(logging.makeLogRecord({"msg": "lost", "levelno": 40}))
    assert capsys.readouterr().err == ""


def test_the_settings_write_both_logs_discreetly(tmp_path):
    there = logs.configured(tmp_path, whole_words=False)
    assert {one["formatter"] for one in there["handlers"].values()} == {"discreet"}
    assert (
        logs.configured(tmp_path, whole_words=True)["handlers"]["home"]["formatter"] == "discreet"
    )
