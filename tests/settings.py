"""Settings for tests: a throw-away home, plain static files, quick passwords, little waiting."""

import gc
import os
import tempfile
from pathlib import Path

os.environ["RAYWARD_HOME"] = tempfile.mkdtemp(prefix="rayward-tests-")

from breeding.settings import *  # noqa: F403

gc.set_threshold(50_000)  # of what tests make nearly all goes by itself
Path(os.environ["RAYWARD_HOME"], "secret_key").write_text("of-the-tests-" * 5)
STORAGES = {
    "default": {"BACKEND": "breeding.program.kept.files.WholeFiles"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
WHITENOISE_AUTOREFRESH = True

if DATABASES["default"]["ENGINE"].endswith("sqlite3"):  # noqa: F405
    DATABASES["default"]["TEST"] = {"NAME": ":memory:"}  # noqa: F405
# A database kept between runs (with pytest --reuse-db) spares ten seconds of migrations each time.
# It stays open like one in memory, which is what the tests are written for.
if kept := os.environ.get("RAYWARD_TESTS_DATABASE"):
    from django.db.backends.sqlite3.creation import DatabaseCreation

    DatabaseCreation.is_in_memory_db = staticmethod(lambda name: True)
    DATABASES["default"]["TEST"] = {"NAME": kept}  # noqa: F405

# As each request of a program switches its own time zone on: that of the tests' program (cast.py).
# In another one, what a test calls today is not the pages' today for an hour around midnight.
TIME_ZONE = "Europe/London"
