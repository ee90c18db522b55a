"""The WSGI application that waitress serves, or another server that is started by hand."""

import os
import sys

from django.core.wsgi import get_wsgi_application

from breeding import home, private

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "breeding.settings")
private.from_now_on()
if not (home.chosen() / home.KEY_FILE).exists():
    sys.exit(f"{home.chosen()} is no data directory yet: `manage.py start` prepares it.")

application = get_wsgi_application()
