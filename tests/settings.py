"""Settings for tests: a throw-away home, plain static files, quick passwords."""

import os
import tempfile

os.environ["RAYWARD_HOME"] = tempfile.mkdtemp(prefix="rayward-tests-")

from breeding.settings import *  # noqa: F403

STORAGES = {
    "default": {"BACKEND": "breeding.program.kept.files.WholeFiles"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
WHITENOISE_AUTOREFRESH = True
