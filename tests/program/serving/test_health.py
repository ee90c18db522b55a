"""`/healthz` says whether it works to whoever watches over it, and tells strangers nothing else."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.db import OperationalError, connection

import breeding
from breeding.program.serving import health


@pytest.fixture(autouse=True)
def asked_anew():
    health.forget()
    yield
    health.forget()


@pytest.mark.django_db
def test_a_program_that_works_answers_200_to_strangers(stranger):
    page = stranger.get("/healthz")
    assert page.status_code == 200
    assert page.content == b"It works.\n"
    assert page["Cache-Control"] == "no-store"
    assert stranger.head("/healthz").status_code == 200
    assert stranger.post("/healthz").status_code == 405


@pytest.mark.django_db
def test_it_is_answered_before_the_way_to_https(stranger, settings):
    settings.SECURE_SSL_REDIRECT = True
    assert stranger.get("/healthz").status_code == 200


@pytest.mark.django_db
def test_a_database_that_does_not_answer_is_503(stranger, monkeypatch):
    def gone(*_):
        raise OperationalError("connection to server at 10.0.0.7, user rays, failed")

    monkeypatch.setattr("breeding.program.serving.database.is_behind", gone)
    page = stranger.get("/healthz")
    assert page.status_code == 503
    assert page.content == b"The database does not answer.\n"


@pytest.mark.django_db
def test_a_step_that_was_not_taken_is_503(stranger):
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM django_migrations WHERE app = 'offers'")
    page = stranger.get("/healthz")
    assert page.status_code == 503
    assert page.content == b"The database is not of this version.\n"


@pytest.mark.django_db
def test_a_disk_that_takes_nothing_is_503(stranger, settings, tmp_path):
    settings.HOME = tmp_path / "gone"
    page = stranger.get("/healthz")
    assert page.status_code == 503
    assert page.content == b"The disk cannot be written.\n"


@pytest.mark.django_db
def test_however_often_it_is_asked_the_disk_is_tried_once(stranger, monkeypatch):
    tried = []
    monkeypatch.setattr(health, "_disk_words", lambda: tried.append(1) or "")
    for _ in range(20):
        assert stranger.get("/healthz").status_code == 200
    assert len(tried) == 1


@pytest.mark.django_db
def test_the_version_stands_in_the_foot_for_people_who_are_signed_in(stranger, as_viewer):
    foot = f"Rayward {breeding.__version__}"
    assert foot in as_viewer.get("/more/").content.decode()
    assert breeding.__version__ not in stranger.get("/sign-in/").content.decode()
    assert breeding.__version__ not in stranger.get("/healthz").content.decode()


@pytest.mark.parametrize("asked", ["--version", "version"])
def test_the_version_that_is_told_is_our_own(asked, tmp_path):
    said = subprocess.run(
        [sys.executable, str(Path(breeding.__file__).parents[1] / "manage.py"), asked],
        env={**os.environ, "RAYWARD_HOME": str(tmp_path / "none")},
        capture_output=True,
        text=True,
        check=True,
    )
    assert said.stdout.startswith(f"Rayward {breeding.__version__} (Django ")
    assert not (tmp_path / "none").exists()
