"""Settings of the site; what differs between installations comes from the environment only."""

import os
import warnings
from pathlib import Path
from typing import Any

import dj_database_url
from csp.constants import NONE, SELF

from kits.config.env import read_environment

BASE_DIR = Path(__file__).resolve().parent.parent.parent
VAR_DIR = BASE_DIR / "var"
ENVIRONMENT = read_environment(os.environ, BASE_DIR)
PRODUCTION = ENVIRONMENT.is_production

DEBUG = ENVIRONMENT.debug
SECRET_KEY = ENVIRONMENT.secret_key
ALLOWED_HOSTS = list(ENVIRONMENT.allowed_hosts)
BASE_URL = ENVIRONMENT.base_url
FILES_DIR = ENVIRONMENT.files_dir
BACKUP_DIR = ENVIRONMENT.backup_dir
CURRENCY = ENVIRONMENT.currency
METRICS_TOKEN = ENVIRONMENT.metrics_token

INSTALLED_APPS = [
    "vehicles",
    "kits",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django.forms",
    "django_htmx",
    "django_tables2",
    "django_filters",
    "csp",
    "django_otp",
    "django_otp.plugins.otp_totp",
    "django_otp.plugins.otp_static",
    "django_q",
]
# widgets of our own have their template among the others
FORM_RENDERER = "django.forms.renderers.TemplatesSetting"

MIDDLEWARE = [
    "kits.people.signing.middleware.ClientAddressMiddleware",
    "kits.config.middleware.RequestLogMiddleware",
    "kits.config.headers.HeadersMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.middleware.security.SecurityMiddleware",
    # before whatever asks for a host name or a session
    "kits.config.middleware.ProbeMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "kits.config.bodies.BodyMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "kits.people.signing.middleware.StayMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "kits.config.middleware.AccessMiddleware",
    "kits.config.costly.CostlyMiddleware",
    "kits.config.middleware.UnworkedMiddleware",
]

ROOT_URLCONF = "kits.config.urls"
WSGI_APPLICATION = "kits.config.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        # APP_DIRS is for django_tables2's own templates; ours live in the templates folder only.
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "kits.config.context_processors.site",
            ],
        },
    },
]

# The database

SQLITE_OPTIONS = {
    # A transaction takes its write lock at once, so that two writers wait for each other instead of failing.
    "transaction_mode": "IMMEDIATE",
    "timeout": 20,
    "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL;",
}

POSTGRESQL_OPTIONS = {
    "connect_timeout": 3,
    "keepalives_idle": 5,
    "keepalives_interval": 2,
    "keepalives_count": 3,
    "tcp_user_timeout": 10_000,
}


def database(url: str) -> dict[str, Any]:
    """The database of a KITWRIGHT_DATABASE_URL with the options each kind needs."""
    config: dict[str, Any] = {**dj_database_url.parse(url)}
    if config["ENGINE"] == "django.db.backends.sqlite3":
        config["OPTIONS"] = {**config.get("OPTIONS", {}), **SQLITE_OPTIONS}
        if Path(config["NAME"]).parent == VAR_DIR:
            VAR_DIR.mkdir(exist_ok=True)
    else:
        config["CONN_MAX_AGE"] = 60
        # a server that does not answer, or has gone in the middle, is told of soon
        config["OPTIONS"] = {**POSTGRESQL_OPTIONS, **config.get("OPTIONS", {})}
        config["CONN_HEALTH_CHECKS"] = True
    return config


DATABASES = {"default": database(ENVIRONMENT.database_url)}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

# People

AUTHENTICATION_BACKENDS = ["django.contrib.auth.backends.ModelBackend"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 10},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "kits.config.passwords.NoWordsOfTheHouse"},
]
LOGIN_URL = "sign-in"
LOGIN_REDIRECT_URL = "home"
LOGOUT_REDIRECT_URL = "sign-in"
# How many tries there are and how long one stays signed in: kits/people/signing/limits.py
TRUST_PROXY = ENVIRONMENT.trust_proxy
OTP_TOTP_ISSUER = "Kitwright"
# Wrong codes are slowed by place and by account as wrong passwords are: the library's own wait, which doubles without
# end for everybody, would let whoever has the password keep the person himself out.
OTP_TOTP_THROTTLE_FACTOR = 0
OTP_STATIC_THROTTLE_FACTOR = 0

# Works: what takes long. The room of each kind describes it; the queue's messages only say which row to look at.

WORK_AT_ONCE = ENVIRONMENT.work_at_once
WORK_KINDS = {
    "size": "kits.fitment.tasks.SIZE",
    "paper": "kits.documents.tasks.PAPER",
    "workbook": "kits.exchange.tasks.WORKBOOK",
    "check": "kits.exchange.tasks.CHECK",
    "apply": "kits.exchange.tasks.APPLY",
    "tidy": "kits.config.tasks.TIDY",
    "backup": "kits.config.tasks.BACKUP",
}
# Somebody waits for these: a longer work lets them go first after each of its chunks.
SHORT_WORKS = ("paper", "workbook", "check", "apply")
# The library would have a time limit; a lost work is found by its beat, and a message that comes twice does no harm.
warnings.filterwarnings("ignore", message="Retry and timeout are misconfigured", category=UserWarning)
Q_CLUSTER = {
    "name": "kitwright",
    "orm": "default",
    "workers": 1,
    "timeout": None,
    "retry": 3600,
    "ack_failures": True,
    "max_attempts": 0,
    "save_limit": -1,
    "catch_up": False,
    "poll": 0.5,
    "guard_cycle": 1,
    "bulk": 1,
    "queue_limit": 1,
    "recycle": 20,
    "max_rss": 600_000,
}

# Language and time

LANGUAGE_CODE = "en-gb"
# the day is that of the shop; moments are stored in UTC
TIME_ZONE = ENVIRONMENT.time_zone
USE_I18N = True
USE_TZ = True

# Static files: plain names while developing, names with a fingerprint in production.

STATIC_URL = "static/"
STATIC_ROOT = VAR_DIR / "static"
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": (
            "kits.config.storage.FingerprintedStorage"
            if PRODUCTION
            else "django.contrib.staticfiles.storage.StaticFilesStorage"
        )
    },
}
WHITENOISE_USE_FINDERS = not PRODUCTION
WHITENOISE_AUTOREFRESH = not PRODUCTION
# Our pages alone use them.
WHITENOISE_ALLOW_ALL_ORIGINS = False
WHITENOISE_MIMETYPES = {".svg": "image/svg+xml; charset=utf-8"}
MEDIA_ROOT = VAR_DIR / "media"

# Security

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [SELF],
        "object-src": [NONE],
        "base-uri": [NONE],
        "form-action": [SELF],
        "frame-ancestors": [NONE],
    },
}
CSRF_FAILURE_VIEW = "kits.config.views.csrf_failure"
CSRF_COOKIE_HTTPONLY = True
CSRF_TRUSTED_ORIGINS = [BASE_URL] if PRODUCTION else []
CSRF_COOKIE_SECURE = SESSION_COOKIE_SECURE = PRODUCTION
if PRODUCTION:
    # A browser takes a cookie of such a name from this very host only, over https: no neighbour can plant one.
    SESSION_COOKIE_NAME, CSRF_COOKIE_NAME = "__Host-session", "__Host-csrf"
# Not in a cookie, which would need a name like those and could grow too long for one.
MESSAGE_STORAGE = "django.contrib.messages.storage.session.SessionStorage"
SECURE_SSL_REDIRECT = PRODUCTION
# What programs watch may be asked from inside, over plain http.
SECURE_REDIRECT_EXEMPT = [r"^health$", r"^metrics$"]
SECURE_HSTS_SECONDS = 31_536_000 if PRODUCTION else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = PRODUCTION
SECURE_HSTS_PRELOAD = False
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
if TRUST_PROXY:
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")

# What may be sent, and how often

COSTLY_COUNTED = True
# Each web process counts for itself.
CACHES = {
    "default": {
        "BACKEND": "django.core.cache.backends.locmem.LocMemCache",
        "OPTIONS": {"MAX_ENTRIES": 10_000},
    }
}
# A form without its files. The largest of ours, a position of hundreds of entries, has some thousands of fields.
DATA_UPLOAD_MAX_MEMORY_SIZE = 2_621_440
DATA_UPLOAD_MAX_NUMBER_FIELDS = 10_000
DATA_UPLOAD_MAX_NUMBER_FILES = 10
FILE_UPLOAD_HANDLERS = [
    "kits.config.bodies.CountedUpload",
    "django.core.files.uploadhandler.MemoryFileUploadHandler",
    "django.core.files.uploadhandler.TemporaryFileUploadHandler",
]

# Tables

DJANGO_TABLES2_TEMPLATE = "django_tables2/table.html"

# Logs: JSON lines on standard output

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"json": {"()": "kits.config.logs.JsonLine"}},
    "handlers": {
        "stdout": {"class": "logging.StreamHandler", "formatter": "json", "stream": "ext://sys.stdout"}
    },
    "root": {"handlers": ["stdout"], "level": "WARNING"},
    "loggers": {
        "django": {"handlers": ["stdout"], "level": "WARNING", "propagate": False},
        # Refused and unknown addresses are in the request's own line already.
        "django.request": {"level": "ERROR"},
        "django-q": {"handlers": ["stdout"], "level": "WARNING", "propagate": False},
        "kitwright": {"handlers": ["stdout"], "level": "INFO", "propagate": False},
    },
}
