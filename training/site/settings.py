"""How is this site set up, and what does each machine say about it?

Everything that differs between machines comes from the environment; README.md lists the names.
"""

import sys
from pathlib import Path

# A newer SQLite than the system's, with the repair that makes write-ahead logging safe (3.51.3).
try:
    import pysqlite3

    sys.modules["sqlite3"] = pysqlite3
# No wheel for this system: the system's SQLite is used, see training.site.database.
except ImportError:
    pass

from csp.constants import NONE, SELF

from training.site.database import sqlite_options
from training.site.environment import (
    database,
    find_replica,
    home_folder,
    is_yes,
    one_of,
    port,
    proxies,
    secret_key,
    site_address,
    text,
    time_zone,
    words,
)

BASE = Path(__file__).resolve().parents[2]
HOME = home_folder(Path(text("BENCHRIGHT_HOME", str(BASE / ".benchright"))))

PRODUCTION = is_yes("BENCHRIGHT_PRODUCTION")
DEBUG = is_yes("BENCHRIGHT_DEBUG") and not PRODUCTION
SECRET_KEY = secret_key(HOME, production=PRODUCTION)
ALLOWED_HOSTS = words("BENCHRIGHT_HOSTS", "" if PRODUCTION else "127.0.0.1 localhost [::1]")

INSTALLED_APPS = [
    "training.apps.TrainingConfig",
    "quizzes.apps.QuizzesConfig",
    "procedures.apps.ProceduresConfig",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django.forms",  # after our own, so that the site's field templates win
    "crispy_forms",
    "csp",
    "django_htmx",
    "django_otp",
    "django_otp.plugins.otp_totp",
    "django_otp.plugins.otp_static",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    # Before sessions: static files need no person.
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "training.site.caching.KeptByNobody",
    # Before whatever may refuse: a refusal has days in it, too.
    "training.site.reader.ReadersDays",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    # Inside the check for forgery, whose refusal needs no records.
    "training.site.guard.Guard",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "training.site.signed_out.SignInAndGoOn",
    # After the person is known, and before anything that writes a day.
    "training.site.clock.WorkshopTime",
    "training.site.session_seen.SeenLately",
    "training.site.gate.FirstThingsFirst",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
]

ROOT_URLCONF = "training.site.urls"
WSGI_APPLICATION = "training.site.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE / "training" / "site" / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "training.site.context.site",
            ],
            "libraries": {
                "fields": "procedures.records.wording.fields",
                "wording": "training.records.wording.filters",
            },
            # Every page has a day on it, and none may be written in another way.
            "builtins": ["procedures.records.days.filters"],
        },
    }
]
FORM_RENDERER = "django.forms.renderers.TemplatesSetting"
CRISPY_ALLOWED_TEMPLATE_PACKS = ("bench",)
CRISPY_TEMPLATE_PACK = "bench"
CRISPY_FAIL_SILENTLY = False

# --- data ---
DATABASES = {"default": database(f"sqlite:///{HOME / 'benchright.sqlite3'}")}
if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
    DATABASES["default"]["OPTIONS"] = sqlite_options()
if found := find_replica(DATABASES["default"]):
    DATABASES["replica"] = found
    DATABASE_ROUTERS = ["training.records.replica.ReportRouter"]
    MIDDLEWARE += ["training.site.reports.ReportsOnReplica"]  # the last: it makes the page itself
PICTURES = HOME / "pictures"  # photos and drawings of the shop; never under the static files
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
# where the lower apps hand in what belongs into the record book
RECORD_BOOK = "training.records.keeping.record"
# who tells the page of a revision what its release would mean
RELEASE_IMPACT = "training.reports.impact.impact_in_short"
# who tells the page of a revision what nothing asks about
QUESTION_GAPS = "quizzes.reports.coverage.tell_gaps"
# who gives the instant of a write, with the record book locked
RECORD_MOMENT = "training.records.clock.moment"
RECORD_NOW = "training.models.shop_now"  # who says which instant it is, for those who only look
# who tells the pages on write-ups what a level is called
LEVEL_TITLES = "training.reports.levels.level_titles"
# who tells the chances of a quiz which pass mark its level asks
QUIZ_MARK = "training.reports.levels.pass_mark_of"
# which sittings were declared never to have counted, so that nobody waits because of them
VOID_SITTINGS = "training.records.void_sheets.find_void_sittings"
# who tells the page of a revision where it and its level do not know of each other
LEVEL_FAULTS = "training.reports.links.tell_level_faults"

# --- signing in ---
AUTH_USER_MODEL = "training.User"
AUTHENTICATION_BACKENDS = ["training.access.sign_in.ShopBackend"]
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
AUTH_PASSWORD_VALIDATORS = [
    {
        "NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator",
        "OPTIONS": {"user_attributes": ("login", "name")},
    },
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 10},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "training.access.passwords.NoNames"},
    {"NAME": "training.access.passwords.NoRows"},
]
LOGIN_URL = "login"
LOGIN_REDIRECT_URL = "training:home"
LOGOUT_REDIRECT_URL = "login"
SESSION_ENGINE = "training.access.sessions"
# From the sign-in on at the latest; twelve hours without use end it before (`access/sessions.py`).
SESSION_COOKIE_AGE = 30 * 24 * 60 * 60
# The prefix makes browsers take a cookie from this very host only, over HTTPS, for every path (RFC
# 6265bis).
HOST_ONLY = "__Host-" if PRODUCTION else ""
SESSION_COOKIE_NAME = HOST_ONLY + "benchright"
# Not Strict: a link on a card or in a message must open with its reader signed in.
SESSION_COOKIE_SAMESITE = "Lax"
CSRF_COOKIE_NAME = HOST_ONLY + "benchright-form"
CSRF_COOKIE_HTTPONLY = True  # the scripts read the token out of the page
CSRF_COOKIE_SAMESITE = "Lax"
DEVICE_COOKIE_NAME = HOST_ONLY + "benchright-device"
OTP_TOTP_ISSUER = "Benchright"
OTP_TOTP_THROTTLE_FACTOR = OTP_STATIC_THROTTLE_FACTOR = (
    0  # its wait has no end; training.throttle counts codes as it does passwords
)
# how many stand in front; training.where reads the address by it
PROXIES = proxies("BENCHRIGHT_BEHIND_PROXY")

# --- what a browser may do ---
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF, "data:"],
        "font-src": [SELF],
        "connect-src": [SELF],
        "form-action": [SELF],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
        "manifest-src": [SELF],
        "worker-src": [SELF],  # the bench view without network
    }
}
X_FRAME_OPTIONS = "DENY"
OWN_CERTIFICATE = is_yes("BENCHRIGHT_OWN_CERTIFICATE")  # `manage.py serve --lan` sets it
CSRF_FAILURE_VIEW = "training.views.trouble.old_tab"
# Addresses name people and their logins.
SECURE_REFERRER_POLICY = "same-origin"
if PRODUCTION:
    SECURE_SSL_REDIRECT = True
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if PROXIES else None
    # Not with a certificate of the machine's own: a phone that has to trust a new one could not
    # even open the page that says how.
    SECURE_HSTS_SECONDS = 0 if OWN_CERTIFICATE else 365 * 24 * 60 * 60
    SESSION_COOKIE_SECURE = True
    CSRF_COOKIE_SECURE = True
    CSRF_TRUSTED_ORIGINS = [f"https://{host.lstrip('.')}" for host in ALLOWED_HOSTS]
# A list handed on by a page and a write-up at full length fit; files are counted apart.
DATA_UPLOAD_MAX_MEMORY_SIZE = 6 * 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FIELDS = 10_000  # the page of the shop's rules sends each row of a long list

# --- the daily mail (`manage.py remind`) ---
EMAIL_HOST = text("BENCHRIGHT_MAIL_HOST", "")  # empty: no mail goes out
EMAIL_PORT = port("BENCHRIGHT_MAIL_PORT", 587)
EMAIL_HOST_USER = text("BENCHRIGHT_MAIL_USER", "")
EMAIL_HOST_PASSWORD = text("BENCHRIGHT_MAIL_PASSWORD", "")
MAIL_SECURITY = one_of("BENCHRIGHT_MAIL_SECURITY", "starttls", "tls", "none")
EMAIL_USE_TLS, EMAIL_USE_SSL = MAIL_SECURITY == "starttls", MAIL_SECURITY == "tls"
EMAIL_TIMEOUT = 20  # a server that does not answer must not hold the timer up
DEFAULT_FROM_EMAIL = text("BENCHRIGHT_MAIL_FROM", "")
SITE_ADDRESS = site_address("BENCHRIGHT_ADDRESS")

# --- files and words ---
STATIC_URL = "/static/"
STATIC_ROOT = HOME / "static"
STATICFILES_DIRS = [BASE / "training" / "site" / "static"]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "training.site.static_files.PackedFiles"},
}
WHITENOISE_KEEP_ONLY_HASHED_FILES = True
LANGUAGE_CODE = "en-gb"
USE_TZ = True
TIME_ZONE = time_zone("BENCHRIGHT_TIME_ZONE")
DATE_FORMAT = "j M Y"
FORMAT_MODULE_PATH = ["training.site.formats"]

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {
        "text": {"()": "training.site.log_lines.OneLine"},
        "json": {"()": "training.site.log_lines.JsonLine"},
    },
    "handlers": {
        "console": {
            "class": "logging.StreamHandler",
            "formatter": one_of("BENCHRIGHT_LOGS", "text", "json"),
        }
    },
    "root": {"handlers": ["console"], "level": "WARNING"},
}
