"""Django's settings. What a workshop may change comes from serving/home.py."""

import os
from pathlib import Path

from pinchbolt.serving.sqlite import prefer_mended_library

prefer_mended_library()

from pinchbolt.serving import home  # noqa: E402  (sqlite3 must be chosen before Django loads it)
from pinchbolt.values.wording import speaks_english  # noqa: E402

PACKAGE = Path(__file__).resolve().parent.parent

SECRET_KEY = home.secret_key()
DEBUG = False
ALLOWED_HOSTS = (
    os.environ.get("PINCHBOLT_ANSWERS_TO") or os.environ.get("PINCHBOLT_HOSTS") or "127.0.0.1,localhost,[::1]"
).split(",")
# Served to the network: what comes from there comes by https, vouched for by this workshop's own authority.
SEALED = os.environ.get("PINCHBOLT_SEALED", "") == "yes"
AUTHORITY = home.home_folder() / "authority" / "authority.crt"
SHOP_TABLES = home.tables_folder()
# Numbers of erased owners, so that a backup brought back has them erased again.
ERASED_LIST = home.home_folder() / "erased-owners.txt"

# Letters to owners lie here until somebody sends them; they go out by themselves only where a mail server is named.
OUTBOX = home.home_folder() / "outbox"
MAIL_SERVER = os.environ.get("PINCHBOLT_MAIL_SERVER", "")

# The word that opens a workshop, made by the server that shows it; without one a workshop is opened on the command line.
OPENING_WORD = os.environ.get("PINCHBOLT_OPENING_WORD", "")
# The invented workshop: how it is started beside this one, who is in it, and the way back out of it.
DEMO_BESIDE = "pinchbolt.serving.demo_beside.demo_beside"
INVENTED_PEOPLE = home.invented_people_file()
# Copies of the book, and the round that looks everything over: the settings pages ask here.
BACK_UP = "pinchbolt.serving.backup.back_up"
LOOK_AT_COPY = "pinchbolt.serving.restore.look_at_copy"
BRING_BACK = "pinchbolt.serving.restore.bring_back"
SIGN_INS = "pinchbolt.serving.written_down.newest_sign_ins"
LOOK_OVER = "pinchbolt.serving.doctor.look_over"
BACKUPS = home.home_folder() / "backups"
BACK_TO = os.environ.get("PINCHBOLT_BACK_TO", "")

INSTALLED_APPS = [
    "django.contrib.contenttypes",
    "django.contrib.auth",
    "django.contrib.sessions",
    "django.contrib.staticfiles",
    "django_htmx",
    "axes",
    "pinchbolt.records",
    "pinchbolt.bench",
]
MIDDLEWARE = [
    "pinchbolt.serving.written_down.WrittenDown",
    "pinchbolt.serving.request_guard.HeadWithoutBody",
    "pinchbolt.serving.commands_as_typed.CommandsAsTyped",
    "pinchbolt.serving.request_guard.PlainRefusals",
    "pinchbolt.serving.request_guard.SecurityHeaders",
    "pinchbolt.serving.how_often.HowOften",
    "pinchbolt.serving.sealed_guard.SealedOnly",
    "pinchbolt.serving.request_guard.PageAgain",
    "pinchbolt.serving.request_guard.JsonRefusals",
    "pinchbolt.serving.request_guard.OneLook",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "pinchbolt.serving.request_guard.OpeningFirst",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "pinchbolt.serving.tablet_in_use.TabletInUse",
    "pinchbolt.serving.sent_later.SentLater",
    "pinchbolt.serving.request_guard.SignedInOnly",
    "pinchbolt.serving.rights_guard.RightsFirst",
    "django_htmx.middleware.HtmxMiddleware",
    "axes.middleware.AxesMiddleware",
]
ROOT_URLCONF = "pinchbolt.serving.urls"
WSGI_APPLICATION = "pinchbolt.serving.wsgi.application"
# In another language a template is said as it is compiled, and kept so.
SAID_PAGES = [
    (
        "django.template.loaders.cached.Loader",
        ["pinchbolt.bench.said_pages.ScreenPages", "pinchbolt.bench.said_pages.SharedPages"],
    )
]
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        # A screen's pages lie beside its view; those of all screens in bench/templates.
        "DIRS": [PACKAGE / "bench"],
        "APP_DIRS": speaks_english(),
        "OPTIONS": {
            **({} if speaks_english() else {"loaders": SAID_PAGES}),
            "builtins": [
                "pinchbolt.bench.templatetags.kept",
                *([] if speaks_english() else ["pinchbolt.bench.said_pages"]),
            ],
            "context_processors": [
                "django.template.context_processors.request",
                "pinchbolt.bench.shared.on_every_page",
            ],
        },
    }
]

DATABASES = {"default": home.database()}

AUTH_USER_MODEL = "records.Person"
AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "pinchbolt.serving.sign_in.PassphraseBackend",
    "pinchbolt.serving.sign_in.PinBackend",
]
PASSWORD_HASHERS = ["django.contrib.auth.hashers.Argon2PasswordHasher"]
LOGIN_URL = "sign_in"
CSRF_FAILURE_VIEW = "pinchbolt.bench.refusals.refusals_screen.csrf_failed"
# A tablet on the bench is not signed out by a pause: no time-out for a year, and nothing ends when the browser is closed.
SESSION_COOKIE_AGE = 365 * 24 * 3600
# Two workshops on one machine share its name, and so would their cookies.
SESSION_COOKIE_NAME, CSRF_COOKIE_NAME = (
    ("demo-session", "demo-form") if home.in_the_demo() else ("sessionid", "csrftoken")
)
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
CSRF_COOKIE_SAMESITE = "Lax"

# Wrong tries are counted outside the database, so that guessing writes nothing into the records.
CACHES = {
    "default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"},
    "tries": {
        "BACKEND": "django.core.cache.backends.filebased.FileBasedCache",
        "LOCATION": str(home.home_folder() / "tries"),
        # A spray of made-up names must not push a counted one out.
        "OPTIONS": {"MAX_ENTRIES": 20_000},
    },
}
AXES_CACHE = "tries"
AXES_HANDLER = "axes.handlers.cache.AxesCacheHandler"
AXES_FAILURE_LIMIT = 5
AXES_COOLOFF_TIME = 0.25
# A name is locked for the address that guessed: a stranger on the network locks nobody out but themselves, and there is
# always a way in from the machine itself.
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_CLIENT_IP_CALLABLE = "pinchbolt.serving.sign_in.who_is_connected"
AXES_USERNAME_FORM_FIELD = "username"
AXES_LOCKOUT_CALLABLE = "pinchbolt.serving.sign_in.locked_out"
AXES_RESET_ON_SUCCESS = True
AXES_ENABLE_ACCESS_FAILURE_LOG = False
AXES_DISABLE_ACCESS_LOG = True

LANGUAGE_CODE = "en-gb"
USE_I18N = False
USE_TZ = True
TIME_ZONE = os.environ.get("PINCHBOLT_TIME_ZONE", "Europe/London")

STATIC_URL = "/static/"
STATIC_ROOT = str(home.home_folder() / "static")
WHITENOISE_USE_FINDERS = True
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}

# Who presses sheets of paper; the doors ask the workshop, which asks here.
SHEET_PRESS = "pinchbolt.paper.render"
BILL_PRESS = "pinchbolt.paper.render.bill_sheet"
LETTER_PRESS = "pinchbolt.paper.render.held_letter_sheet"
TAG_PRESS = "pinchbolt.paper.hang_tag"
ROUND_PRESS = "pinchbolt.paper.bolt_round_sheet"
ORDER_PRESS = "pinchbolt.paper.render.order_sheet"
BACK_PRESS = "pinchbolt.paper.render.call_back_letter"
WHEEL_PRESS = "pinchbolt.paper.wheel_sheet_pdf"
CLAIM_PRESS = "pinchbolt.paper.render.claim_sheet_pdf"
HOME_PRESS = "pinchbolt.paper.home_tools_sheet"

X_FRAME_OPTIONS = "DENY"
DATA_UPLOAD_MAX_MEMORY_SIZE = 2_000_000
# A folder of ride files; the files themselves go to disk, not to memory.
DATA_UPLOAD_MAX_NUMBER_FILES = 6000
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {
        "plain": {"format": "{asctime} {levelname} {name}: {message}", "style": "{"},
        "access": {"format": "{asctime} {message}", "style": "{"},
    },
    "handlers": {
        "console": {"class": "logging.StreamHandler", "formatter": "plain"},
        "access": {
            "()": "pinchbolt.serving.private_log.PrivateLog",
            "name": "access.log",
            "formatter": "access",
        },
        "sign-ins": {"()": "pinchbolt.serving.private_log.PrivateLog", "name": "sign-ins.log"},
    },
    "loggers": {
        "pinchbolt.access": {"handlers": ["access"], "level": "INFO", "propagate": False},
        "pinchbolt.sign-ins": {"handlers": ["sign-ins"], "level": "INFO", "propagate": False},
    },
    "root": {"handlers": ["console"], "level": "WARNING"},
}
