"""The WSGI application that gunicorn serves."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "kits.config.settings")

application = get_wsgi_application()

# after the settings are read: a person waits less long than a command
from kits.config.backup.in_use import BeingRestored, hold  # noqa: E402
from kits.config.patience import WEB_S, wait_at_most  # noqa: E402

try:
    hold()
except BeingRestored as problem:
    raise SystemExit(str(problem)) from None
wait_at_most(WEB_S)
