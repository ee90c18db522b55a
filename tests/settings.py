"""Settings for tests: a throw-away home, plain static files, quick passwords."""

import os
import tempfile
from pathlib import Path

os.environ["RAYWARD_HOME"] = tempfile.mkdtemp(prefix="rayward-tests-")

from breeding.settings import *  # noqa: F403

Path(os.environ["RAYWARD_HOME"], "secret_key").write_text("of-the-tests-" * 5)
STORAGES = {
    "default": {"BACKEND": "breeding.program.kept.files.WholeFiles"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
WHITENOISE_AUTOREFRESH = True
