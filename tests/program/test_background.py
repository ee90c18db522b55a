"""What the running server does by itself: every job, whatever happens to the others."""

import threading

from breeding.program import background


def test_a_job_that_fails_is_logged_and_keeps_no_other_back(monkeypatch, caplog):
    ran = []

    def broken(now):
        raise ValueError("broken")

    monkeypatch.setattr(background, "_jobs", {"broken": broken, "whole": ran.append})
    monkeypatch.setattr(background, "close_old_connections", lambda: None)
    background.run_jobs()
    assert len(ran) == 1
    assert ran[0].tzinfo is not None
    assert "The job broken failed" in caplog.text


def test_the_scheduler_runs_them_at_once_in_its_own_thread_and_stops(monkeypatch):
    ran, done = [], threading.Event()

    def job(now):
        ran.append(threading.current_thread())
        done.set()

    monkeypatch.setattr(background, "_jobs", {"one": job})
    monkeypatch.setattr(background, "close_old_connections", lambda: None)
    scheduler = background.start_running()
    try:
        assert done.wait(20)
    finally:
        scheduler.shutdown()
    assert ran[0] is not threading.main_thread()
    assert not scheduler.running


def test_the_digest_is_one_of_the_jobs():
    assert "remind" in background._jobs
