"""Django's checks before a start, in a process of their own that ends with them.

They read the code of every page, form and table, which a server that nobody visits does not need.
"""

import io
import os
import sys

from django.core.management import call_command


def check_aside() -> None:
    """Raise SystemCheckError for what is wrong with the code or the settings.

    On Linux a copy of this process looks (fork(2)), before any thread begins; whatever it does not
    find in order is looked for again here, so that it is told here.
    """
    if not (sys.platform.startswith("linux") and _is_in_order_aside()):
        call_command("check", stdout=io.StringIO())


def _is_in_order_aside() -> bool:
    sys.stdout.flush()
    sys.stderr.flush()
    copy = os.fork()
    if not copy:
        is_in_order = False
        try:
            call_command("check", stdout=io.StringIO())
            is_in_order = True
        finally:
            os._exit(0 if is_in_order else 1)  # nothing of the parent's is closed or written
    _, status = os.waitpid(copy, 0)
    return os.waitstatus_to_exitcode(status) == 0
