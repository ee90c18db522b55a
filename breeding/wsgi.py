"""The WSGI application that waitress serves."""

import os

from django.core.wsgi import get_wsgi_application

from breeding import home, home_swap

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "breeding.settings")

# A restore that a crash interrupted is brought to its end before anything reads the directory.
home_swap.finish_interrupted(home.chosen())

application = get_wsgi_application()
