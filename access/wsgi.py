"""The door for the web server: ``gunicorn access.wsgi``."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "access.settings")
application = get_wsgi_application()
