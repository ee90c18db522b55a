"""The line of backups, for owners: the newest is old, or the last could not be taken."""

from collections.abc import Iterator

from breeding.agenda.gathered import Gathered
from breeding.agenda.kinds.table import KINDS
from breeding.agenda.lines.line import Line, write_line
from breeding.program.backup.daily import worry
from breeding.words.language import tell


def backup_lines(gathered: Gathered) -> Iterator[Line]:
    """One, or none while all is well; an answer holds until it fails or grows old anew."""
    found = worry(gathered.today, gathered.program.zone)
    if found is not None:
        yield write_line(
            KINDS["backup_old"],
            mark=f"{'failed' if found.has_failed else 'old'}:{found.since}",
            series_mark="all",
            on=found.since,
            today=gathered.today,
            who=tell("Backups"),
            why=tell(
                "{found} Whatever is written now is lost when the disk breaks.", found=found.words
            ),
            animal=None,
            facts={},
        )
