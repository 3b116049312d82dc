"""All settings in one file; values come from the environment and a bad one stops the start by its name."""

import os
import sys
from pathlib import Path
from zoneinfo import available_timezones

import dj_database_url
from csp.constants import NONE, SELF
from django.core.exceptions import ImproperlyConfigured

BASE_DIR = Path(__file__).resolve().parent.parent


def _flag(name: str) -> bool:
    text = os.environ.get(name, "0")
    if text not in {"0", "1"}:
        raise ImproperlyConfigured(f"{name} must be 0 or 1, got {text!r}")
    return text == "1"


# The invented farm lies in a folder of its own, beside the farm's records and never among them.
DEMO = _flag("FARMOPS_DEMO")
DATA_DIR = Path(os.environ.get("FARMOPS_DATA") or BASE_DIR / ".data") / ("demo" if DEMO else "")


def _secret_key() -> str:
    """The signing key: from the environment, else made once and kept readable by its owner alone."""
    if from_environment := os.environ.get("FARMOPS_SECRET_KEY"):
        return from_environment
    path = DATA_DIR / "secret-key"
    if not path.exists():
        from django.core.management.utils import get_random_secret_key

        DATA_DIR.mkdir(mode=0o700, parents=True, exist_ok=True)
        with open(os.open(path, os.O_CREAT | os.O_WRONLY | os.O_TRUNC, 0o600), "w", encoding="ascii") as file:
            file.write(get_random_secret_key())
    return path.read_text(encoding="ascii")


def _computer_zone() -> str:
    """The zone this computer is set to, where its system says so; the farm is where its computer stands."""
    place = os.path.realpath("/etc/localtime").partition("zoneinfo/")[2]
    return place if place in available_timezones() else "America/New_York"


def _days_back() -> int:
    """Whole days by which the demo's clock is set back, as its first start wrote them down; else none."""
    path = DATA_DIR / "days-back"
    if not (DEMO and path.exists()):
        return 0
    text = path.read_text(encoding="ascii").strip()
    if not text.removeprefix("-").isdigit():
        raise ImproperlyConfigured(f"{path} must hold a number of days, got {text!r}")
    return int(text)


SECRET_KEY = _secret_key()
DEBUG = _flag("FARMOPS_DEBUG")
ALLOWED_HOSTS = ["localhost", "127.0.0.1", "[::1]", *filter(None, os.environ.get("FARMOPS_HOSTS", "").split(","))]

INSTALLED_APPS = [
    "django.contrib.contenttypes",
    "django.contrib.auth",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django_htmx",
    "csp",
    "farmops.people",
    "farmops.journal",
    "farmops.farm",
    "farmops.growing",
    "farmops.waiting",
    "farmops.harvest",
    "farmops.selling",
    "farmops.planning",
    "farmops.paper",
    "farmops.exchange",
    "farmops.web",
    "farmops.proving",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "farmops.farm.middleware.in_farm_time",
    "farmops.people.middleware.know_who_asks",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "farmops.people.close_pages.close_by_default",
]

ROOT_URLCONF = "farmops.urls"
WSGI_APPLICATION = "farmops.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ],
            "libraries": {},
        },
    }
]

# WAL + FULL: what was acknowledged is on disk, also when the plug is pulled. IMMEDIATE: a write takes its lock at
# the start, so that reading first and writing then cannot fail at once with "locked".
_SQLITE_PRAGMAS = "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA cache_size=-16000; PRAGMA temp_store=2;"
if sys.platform == "darwin":
    _SQLITE_PRAGMAS += " PRAGMA fullfsync=1; PRAGMA checkpoint_fullfsync=1;"

if os.environ.get("DATABASE_URL") and not DEMO:
    DATABASES = {"default": dj_database_url.config(conn_max_age=0)}
    if DATABASES["default"]["ENGINE"] != "django.db.backends.postgresql":
        raise ImproperlyConfigured("DATABASE_URL must begin with postgres:// ; without it SQLite is used")
    DATABASES["default"].setdefault("OPTIONS", {})["pool"] = {"min_size": 1, "max_size": 16}
else:
    DATABASES = {
        "default": {
            "ENGINE": "django.db.backends.sqlite3",
            "NAME": str(DATA_DIR / "farm.sqlite3"),
            "CONN_MAX_AGE": None,
            # A minute: ten thousand rows read from sheets hold the lock for seconds, on a busy small computer for many.
            "OPTIONS": {"transaction_mode": "IMMEDIATE", "timeout": 60, "init_command": _SQLITE_PRAGMAS},
            "TEST": {"NAME": str(DATA_DIR / "test.sqlite3")},
        }
    }
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

LANGUAGE_CODE = "en"
USE_I18N = True
USE_TZ = True
TIME_ZONE = os.environ.get("FARMOPS_TIME_ZONE") or _computer_zone()

# The demo's records end on a day of their own, from which its days go on.
CLOCK_BACK_DAYS = _days_back()

_VALIDATORS = "django.contrib.auth.password_validation."
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": _VALIDATORS + "UserAttributeSimilarityValidator"},
    {"NAME": _VALIDATORS + "MinimumLengthValidator"},
    {"NAME": _VALIDATORS + "CommonPasswordValidator"},
    {"NAME": _VALIDATORS + "NumericPasswordValidator"},
]

STATIC_URL = "static/"
STATIC_ROOT = BASE_DIR / ".static"
STATICFILES_DIRS = [BASE_DIR / "static"]
WHITENOISE_USE_FINDERS = True

# A notebook of ten thousand rows fits many times over; more is refused in words before it is read.
DATA_UPLOAD_MAX_MEMORY_SIZE = 12 * 2**20
FILE_UPLOAD_MAX_MEMORY_SIZE = 12 * 2**20
DATA_UPLOAD_MAX_NUMBER_FIELDS = 5000

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF, "data:"],
        "font-src": [SELF],
        "connect-src": [SELF],
        "manifest-src": [SELF],
        "form-action": [SELF],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
    }
}
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
SESSION_COOKIE_HTTPONLY = True
# A long working day: the password is asked for once in the morning, and a lost phone shows money for no longer.
SESSION_COOKIE_AGE = 14 * 60 * 60
CSRF_FAILURE_VIEW = "farmops.people.views.ask_who.send_again"
# Under which addresses other devices reach this computer; `start --phones` finds them.
PHONES_AT: list[str] = []
SESSION_COOKIE_SAMESITE = "Lax"

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "handlers": {"stderr": {"class": "logging.StreamHandler"}},
    "root": {"handlers": ["stderr"], "level": "WARNING"},
    # A form that needs correcting is no event, and its address may be a link that is still good for somebody.
    "loggers": {"django.request": {"level": "ERROR"}, "django.security.csrf": {"level": "ERROR"}},
}
