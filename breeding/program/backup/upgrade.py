"""Before a new version changes the records, what was there is backed up."""

import re
from datetime import UTC, datetime
from pathlib import Path

from django.conf import settings
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

from breeding import __version__
from breeding.program.backup.problem import said_in_words
from breeding.program.backup.shelf import shelf_or_home
from breeding.program.backup.writing import back_up
from breeding.words.language import tell


def back_up_first(*, now: datetime) -> Path | None:
    """A backup of records that are about to be changed; None when there is nothing to change.

    A database that is empty yet has nothing to lose. Raises BackupError when it cannot be written.
    """
    executor = MigrationExecutor(connection)
    if not executor.loader.applied_migrations or not pending(executor):
        return None
    place = shelf_or_home()
    with said_in_words(place, tell("nothing was changed")):
        place.mkdir(mode=0o700, parents=True, exist_ok=True)
    version = re.sub(r"[^0-9A-Za-z.+_]", "_", __version__)
    target = place / f"before-{version}-{now.astimezone(UTC):%Y%m%dT%H%M%SZ}.zip"
    back_up(target, now=now)
    return target


def pending(executor: MigrationExecutor) -> list[str]:
    plan = executor.migration_plan(executor.loader.graph.leaf_nodes())
    return [f"{migration.app_label} {migration.name}" for migration, _ in plan]


def words_to_go_back(kept: Path) -> str:
    """What was kept, and the one command that puts it back."""
    words = tell(
        "Before it changed the records, this version backed them up: {file}. To go back, install "
        "the version you had, and with it:",
        file=kept,
    )
    return f"{words}\n\n    manage.py restore {kept} --replace --home {settings.HOME}\n"
