"""What the running server does by itself: every job, whatever happens to the others."""

import gc
import threading
import time

import pytest
from django.db import connection

from breeding.program.models import Program
from breeding.program.serving import background, turns


def test_a_job_that_fails_is_logged_and_keeps_no_other_back(monkeypatch, caplog):
    ran, given_back = [], []

    def broken(now):
        raise ValueError("broken")

    monkeypatch.setattr(background, "_jobs", {"broken": broken, "whole": ran.append})
    monkeypatch.setattr(background, "close_old_connections", lambda: None)
    monkeypatch.setattr(background, "keep_little_of_the_file", lambda: given_back.append(True))
    monkeypatch.setattr(background._turn, "is_mine", lambda: True)
    monkeypatch.setattr(background, "the_program", Program)
    background.run_jobs()
    assert len(ran) == len(given_back) == 1
    assert ran[0].tzinfo is not None
    assert "The job broken failed" in caplog.text


def test_what_visitors_wait_for_comes_first_and_the_rest_as_they_were_added(monkeypatch):
    ran = []
    jobs = {name: lambda now, name=name: ran.append(name) for name in ("backup", "mail", "day")}
    monkeypatch.setattr(background, "_jobs", jobs)
    monkeypatch.setattr(background, "_everywhere", {"day"})
    monkeypatch.setattr(background, "close_old_connections", lambda: None)
    monkeypatch.setattr(background, "keep_little_of_the_file", lambda: None)
    monkeypatch.setattr(background._turn, "is_mine", lambda: True)
    monkeypatch.setattr(background, "the_program", Program)
    background.run_jobs()
    assert ran == ["day", "backup", "mail"]


def test_the_scheduler_runs_them_at_once_in_its_own_thread_and_stops(monkeypatch):
    ran, done = [], threading.Event()

    def job(now):
        ran.append(threading.current_thread())
        done.set()

    monkeypatch.setattr(background, "_jobs", {"one": job})
    monkeypatch.setattr(background, "close_old_connections", lambda: None)
    monkeypatch.setattr(background, "keep_little_of_the_file", lambda: None)
    monkeypatch.setattr(background._turn, "is_mine", lambda: True)
    monkeypatch.setattr(background, "the_program", Program)
    as_python_does = gc.get_threshold()
    scheduler = background.start_running()
    try:
        assert done.wait(20)
        assert gc.get_threshold()[2] > 1_000_000  # no page waits while all is looked through
    finally:
        background.stop_running(scheduler)
    assert gc.get_threshold() == as_python_does
    assert ran[0] is not threading.main_thread()
    assert not scheduler.running


def test_the_digest_is_one_of_the_jobs():
    assert "remind" in background._jobs
    assert "take up looks ahead" in background._jobs


def soon(asked, within=20.0):
    """Whether it becomes true: PostgreSQL lets go of what a line held once it notices its end."""
    until = time.monotonic() + within
    while not asked():
        if time.monotonic() > until:
            return False
        time.sleep(0.02)
    return True


@pytest.mark.django_db(transaction=True)
@pytest.mark.skipif(connection.vendor == "sqlite", reason="one server alone works on SQLite")
class TestSeveralProcesses:
    """Each turn has a line of its own to the database, as each process has."""

    def test_one_of_them_has_the_minute_until_it_ends(self, monkeypatch):
        first, second = turns.Turn(turns.MINUTE), turns.Turn(turns.MINUTE)
        ran = []
        monkeypatch.setattr(background, "_jobs", {"one": ran.append})
        try:
            for turn in (first, second, first, second):
                monkeypatch.setattr(background, "_turn", turn)
                background.run_jobs()
            assert len(ran) == 2
            first.give_up()
            assert soon(second.is_mine)
            assert not first.is_mine()
        finally:
            first.give_up()
            second.give_up()

    def test_one_whose_line_breaks_has_it_no_more_and_another_goes_on(self):
        first, second = turns.Turn(turns.MINUTE), turns.Turn(turns.MINUTE)
        try:
            assert first.is_mine()
            assert not second.is_mine()
            with connection.cursor() as cursor:
                cursor.execute(
                    "SELECT pg_terminate_backend(pid) FROM pg_locks "
                    "WHERE locktype = 'advisory' AND granted AND database = "
                    "(SELECT oid FROM pg_database WHERE datname = current_database())"
                )
            assert soon(second.is_mine)
            assert not first.is_mine()  # it notices
            assert not first.is_mine()  # and asks on a new line
        finally:
            first.give_up()
            second.give_up()

    def test_two_that_begin_at_once_begin_one_after_the_other(self):
        done = []

        def begin(name):
            with turns.one_after_the_other(turns.BEGINNING):
                done.append(f"{name} begins")
                time.sleep(0.2)
                done.append(f"{name} has begun")

        threads = [threading.Thread(target=begin, args=(name,)) for name in ("A", "B")]
        for one in threads:
            one.start()
        for one in threads:
            one.join()
        assert [one[0] for one in done] in (["A", "A", "B", "B"], ["B", "B", "A", "A"])
