"""`manage.py run_minutes`: the minute's work alone, beside servers that do not do it themselves."""

import signal
import threading
from typing import Any

from breeding.program.language.commands import SpokenCommand
from breeding.program.serving import background
from breeding.words.language import message, tell


class Command(SpokenCommand):
    """Send digests and do whatever else is to be done each minute, until Ctrl-C."""

    help = message(
        "Do the minute's work beside gunicorn or another server; `start` does it by itself."
    )

    def handle(self, *args: Any, **options: Any) -> None:
        asked_to_stop = threading.Event()
        for one in (signal.SIGINT, signal.SIGTERM):
            signal.signal(one, lambda *_: asked_to_stop.set())
        scheduler = background.start_running()
        self.stdout.write(tell("The minute's work is done here. Ctrl-C stops it."))
        self.stdout.flush()
        try:
            asked_to_stop.wait()
        finally:
            background.stop_running(scheduler)
        self.stdout.write(tell("Stopped."))
