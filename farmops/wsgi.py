"""The WSGI door that the embedded server opens."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "farmops.settings")
application = get_wsgi_application()
