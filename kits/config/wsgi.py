"""The WSGI application that gunicorn serves."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "kits.config.settings")

application = get_wsgi_application()

# after the settings are read: a person waits less long than a command
from kits.config.patience import WEB_S, wait_at_most  # noqa: E402

wait_at_most(WEB_S)
