"""Settings, all of them open to the environment (or a `.env` beside manage.py). See README.md."""

import contextlib
import os
import secrets
import tempfile
from pathlib import Path

import environ
from csp.constants import NONE, SELF

BASE_DIR = Path(__file__).resolve().parent.parent
env = environ.Env()
environ.Env.read_env(BASE_DIR / ".env")

DEBUG = env.bool("DEBUG", default=False)
DATA_DIR = Path(env("DATA_DIR", default=str(BASE_DIR / ".data")))
DATA_DIR.mkdir(mode=0o700, parents=True, exist_ok=True)


def local_secret() -> str:
    """A secret made once and kept in DATA_DIR, so that nobody runs on a key that others know."""
    path = DATA_DIR / "secret_key"
    if not path.exists():
        # Written whole beside it and then given its name, which one process alone can do.
        made, name = tempfile.mkstemp(dir=DATA_DIR)
        with open(made, "w") as file:
            file.write(secrets.token_urlsafe(50))
        with contextlib.suppress(FileExistsError):
            os.link(name, path)
        os.unlink(name)
    return path.read_text().strip()


SECRET_KEY = env("SECRET_KEY", default="") or local_secret()
ALLOWED_HOSTS = env.list("ALLOWED_HOSTS", default=["localhost", "127.0.0.1", "[::1]"])
CSRF_TRUSTED_ORIGINS = env.list("CSRF_TRUSTED_ORIGINS", default=[])

INSTALLED_APPS = [
    "django.contrib.admin",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django_tables2",
    "django_filters",
    "django_htmx",
    "csp",
    "stockroom",
    "demos",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "csp.middleware.CSPMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "stockroom.common.middleware.keep_nothing",
]

ROOT_URLCONF = "stockroom.urls"
WSGI_APPLICATION = "stockroom.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "stockroom.common.context.frame",
            ]
        },
    }
]

DATABASES = {"default": env.db("DATABASE_URL", default=f"sqlite:///{DATA_DIR / 'stockroom.sqlite3'}")}
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    DATABASES["default"]["ENGINE"] = "stockroom.sqlite"
    # IMMEDIATE takes the write lock when a transaction starts, so that two writers queue instead of failing.
    DATABASES["default"]["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL; PRAGMA foreign_keys=ON;",
    }
    # Its owner's alone from the first moment; SQLite makes the files beside it alike.
    with contextlib.suppress(OSError):
        Path(DATABASES["default"]["NAME"]).touch(mode=0o600)
    # In a file also under test: the tests start second processes, which cannot see a database in memory.
    DATABASES["default"]["TEST"] = {"NAME": str(DATA_DIR / "test.sqlite3")}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}"}
    for name in (
        "UserAttributeSimilarityValidator",
        "MinimumLengthValidator",
        "CommonPasswordValidator",
        "NumericPasswordValidator",
    )
]
LOGIN_URL = "sign-in"
LOGIN_REDIRECT_URL = "home"
LOGOUT_REDIRECT_URL = "sign-in"

LANGUAGE_CODE = env("LANGUAGE_CODE", default="en-gb")
TIME_ZONE = env("TIME_ZONE", default="Europe/London")
USE_I18N = True
USE_TZ = True

STATIC_URL = "static/"
STATIC_ROOT = BASE_DIR / ".static"
STATIC_ROOT.mkdir(exist_ok=True)
MEDIA_ROOT = DATA_DIR / "files"
FILE_UPLOAD_PERMISSIONS, FILE_UPLOAD_DIRECTORY_PERMISSIONS = 0o600, 0o700
DATA_UPLOAD_MAX_MEMORY_SIZE = 5 * 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FIELDS = 5000
DJANGO_TABLES2_TEMPLATE = "common/table.html"
FORM_RENDERER = "django.forms.renderers.TemplatesSetting"
INSTALLED_APPS.insert(0, "django.forms")

HTTPS = env.bool("HTTPS", default=False)
if HTTPS:
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    SECURE_SSL_REDIRECT = SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = True
    SECURE_HSTS_SECONDS = env.int("HSTS_SECONDS", default=365 * 24 * 3600)
    # A cookie of this name is taken only from this very host, over HTTPS (RFC 6265bis, 4.1.3.2).
    SESSION_COOKIE_NAME, CSRF_COOKIE_NAME = "__Host-sessionid", "__Host-csrftoken"
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
# Nothing runs or draws in a page that does not come from a file of this server: no inline script, no style.
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [SELF],
        "object-src": [NONE],
        "base-uri": [NONE],
        "form-action": [SELF],
        "frame-ancestors": [NONE],
    }
}
SESSION_COOKIE_AGE = 60 * 60 * 12
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage"
        if not DEBUG and env.bool("STATIC_MANIFEST", default=False)
        else "django.contrib.staticfiles.storage.StaticFilesStorage",
        # Anybody may read these, also another program that serves them.
        "OPTIONS": {"file_permissions_mode": 0o644, "directory_permissions_mode": 0o755},
    },
}
WHITENOISE_USE_FINDERS = True

#: what a monitor must send to be told how the app stands; empty: nobody is told
HEALTH_TOKEN = env("HEALTH_TOKEN", default="")
#: where the log goes: a file, or the standard error of the process
LOG_FILE = env("LOG_FILE", default="")
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"lines": {"()": "stockroom.common.traces.JsonLines"}},
    "handlers": {
        "log": {"class": "logging.handlers.WatchedFileHandler", "filename": LOG_FILE, "formatter": "lines"}
        if LOG_FILE
        else {"class": "logging.StreamHandler", "formatter": "lines"},
    },
    "loggers": {"django": {"handlers": ["log"], "level": "WARNING", "propagate": True}},
}
