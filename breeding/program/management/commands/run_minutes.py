"""`manage.py run_minutes`: the minute's work alone, beside servers that do not do it themselves."""

import signal
import threading
from typing import Any

from django.core.management import BaseCommand

from breeding.program import background


class Command(BaseCommand):
    """Send digests and do whatever else is to be done each minute, until Ctrl-C."""

    help = "Do the minute's work beside gunicorn or another server; `start` does it by itself."

    def handle(self, *args: Any, **options: Any) -> None:
        asked_to_stop = threading.Event()
        for one in (signal.SIGINT, signal.SIGTERM):
            signal.signal(one, lambda *_: asked_to_stop.set())
        scheduler = background.start_running()
        self.stdout.write("The minute's work is done here. Ctrl-C stops it.")
        self.stdout.flush()
        try:
            asked_to_stop.wait()
        finally:
            background.stop_running(scheduler)
        self.stdout.write("Stopped.")
