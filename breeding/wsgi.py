"""The WSGI application that waitress serves, or another server that is started by hand."""

import contextlib
import os
import sys

from django.core.wsgi import get_wsgi_application

from breeding import home, home_lock, home_swap, private
from breeding.program.language import environment
from breeding.program.serving import memory
from breeding.words.language import message, tell

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "breeding.settings")
private.from_now_on()
memory.hold_little()
environment.speak_before_settings()

# A restore that a crash interrupted is brought to its end before anything reads the directory, and
# none is begun while this process lives. `start` holds the directory already, for itself alone.
home_swap.finish_interrupted(home.chosen())
with contextlib.suppress(OSError):  # not made yet, or not to be written: said where it matters
    home_lock.take(home.chosen(), message("a server"), beside_others=True)
if not (home.chosen() / home.KEY_FILE).exists():
    sys.exit(
        tell(
            "{place} is no data directory yet: `manage.py start` prepares it.", place=home.chosen()
        )
    )

application = get_wsgi_application()
