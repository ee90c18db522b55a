"""Settings: everything that differs between machines comes from the environment."""

import datetime
import os
import socket
from pathlib import Path

import dj_database_url
from django.utils.functional import lazy

from breeding import home, logs, mail, proxy
from breeding.program.language import catalogs

CODE = Path(__file__).resolve().parent
HOME = home.chosen()

SECRET_KEY = home.secret_key(HOME)
DEBUG = os.environ.get("RAYWARD_DEBUG") == "1"
NAMES = os.environ.get("RAYWARD_NAMES", "").split()  # further names this server answers to
ALLOWED_HOSTS = ["127.0.0.1", "localhost", "[::1]", socket.gethostname().lower(), *NAMES]
CSRF_TRUSTED_ORIGINS = [f"https://{name}" for name in NAMES]

# A proxy in front speaks HTTPS: the server, who knows its address, tells by the scheme of the
# request. Nothing is believed of a header here, which anybody could send.
BEHIND_PROXY = proxy.trusted()
SECURE_SSL_REDIRECT = SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = bool(BEHIND_PROXY)
SECURE_HSTS_SECONDS = 60 * 60 * 24 * 30 if BEHIND_PROXY else 0
# HTTPS of other names of the house, and in browsers' own lists, is not this program's to decide.
SILENCED_SYSTEM_CHECKS = ["security.W005", "security.W021"]

INSTALLED_APPS = [
    "django.contrib.admin.apps.SimpleAdminConfig",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django.forms",
    "auditlog",
    "axes",
    "django_otp",
    "django_otp.plugins.otp_totp",
    "django_otp.plugins.otp_static",
    "django_filters",
    "django_htmx",
    "django_tables2",
    "breeding.program",
    "breeding.animals",
    "breeding.identity",
    "breeding.housing",
    "breeding.feeding",
    "breeding.health",
    "breeding.pairings",
    "breeding.litters",
    "breeding.traits",
    "breeding.planning",
    "breeding.buyers",
    "breeding.arrivals",
    "breeding.sheets",
    "breeding.exchange",
    "breeding.origin",
    "breeding.offers",
    "breeding.agenda",
    "breeding.finding",
    "breeding.help",
    "breeding.records",
    "breeding.demo",
]

MIDDLEWARE = [
    "breeding.stack.in_one_piece",
    "breeding.program.serving.health.answer_for_watchers",
    "breeding.program.kept.files.files_of_acts",
    "django.middleware.security.SecurityMiddleware",
    "breeding.program.frame.middleware.content_policy",
    "breeding.program.frame.packing.PackingMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "breeding.program.language.chosen.LanguageMiddleware",
    "breeding.program.kept.device.for_the_device",
    "breeding.program.kept.middleware.SignedOutMiddleware",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "auditlog.middleware.AuditlogMiddleware",
    "breeding.program.frame.middleware.ProgramMiddleware",
    "breeding.program.access.sessions.note_where",
    "breeding.program.frame.middleware.RoleMiddleware",
    "breeding.program.offline.readable.ReadableOfflineMiddleware",
    "breeding.program.frame.middleware.ActMiddleware",
    "breeding.animals.parents.broken.BrokenLineageMiddleware",
    "breeding.program.kept.middleware.KeptFormMiddleware",
    "axes.middleware.AxesMiddleware",  # the last: it only marks an answer to too many tries
]

ROOT_URLCONF = "breeding.urls"
WSGI_APPLICATION = "breeding.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "breeding.program.frame.plain.PlainTemplates",
        "DIRS": [CODE / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "breeding.program.frame.context.page_frame",
            ],
            "builtins": [
                "django.templatetags.i18n",
                "breeding.animals.templatetags.faces",
                "breeding.program.templatetags.explained",
                "breeding.program.templatetags.formats",
                "breeding.program.templatetags.mending",
                "breeding.program.templatetags.once",
                "breeding.program.templatetags.told",
                "breeding.program.templatetags.what_next",
                "breeding.program.templatetags.wrong",
            ],
        },
    }
]
FORM_RENDERER = "breeding.program.forms.FieldRenderer"

DATABASES = {
    "default": dj_database_url.parse(
        os.environ.get("RAYWARD_DATABASE") or f"sqlite:///{HOME / 'rayward.sqlite3'}",
        conn_max_age=60,
        conn_health_checks=True,  # a database that was started again meanwhile costs no page
    )
}
# Django's own, whose answers are kept while nothing is written to their tables.
DATABASES["default"]["ENGINE"] = DATABASES["default"]["ENGINE"].replace(
    "django.db.backends", "breeding.program.unchanged"
)
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    DATABASES["default"]["OPTIONS"] = {
        # Several phones write at once: readers are not blocked, and writers wait their turn.
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        # What was answered with yes survives a power failure: 6 ms a commit on a common disk.
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL;",
    }

AUTH_USER_MODEL = "program.Person"
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}"}
    for name in ("MinimumLengthValidator", "CommonPasswordValidator", "NumericPasswordValidator")
]
AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "django.contrib.auth.backends.ModelBackend",
]
PASSWORD_HASHERS = ["breeding.program.access.hashing.GatedHasher"]
# How wrong passwords are counted and slowed stands in breeding/program/access/slowing.py.
AXES_HANDLER = "breeding.program.access.slowing.SlowingHandler"
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"], ["username"]]
AXES_FAILURE_LIMIT = 1
AXES_COOLOFF_TIME = datetime.timedelta(hours=6)  # forgotten without a wrong try since
AXES_RESET_COOL_OFF_ON_FAILURE_DURING_LOCKOUT = False
AXES_RESET_ON_SUCCESS = True
AXES_USERNAME_CALLABLE = "breeding.program.access.slowing.name_mark"
AXES_CLIENT_IP_CALLABLE = "breeding.program.access.slowing.address_of"
AXES_CLIENT_STR_CALLABLE = "breeding.program.access.slowing.somebody"
AXES_LOCKOUT_CALLABLE = "breeding.program.access.slowing.too_many"
AXES_DISABLE_ACCESS_LOG = True
AXES_ENABLE_ADMIN = False
AXES_VERBOSE = False
LOGIN_URL = "program:sign_in"
LOGIN_REDIRECT_URL = "agenda:day"
SESSION_COOKIE_AGE = 60 * 60 * 24 * 60  # a phone at the tank stays signed in for two months
SESSION_COOKIE_HTTPONLY, SESSION_COOKIE_SAMESITE, CSRF_COOKIE_SAMESITE = True, "Lax", "Lax"
SESSION_COOKIE_NAME = "rayward_session"
CSRF_COOKIE_NAME = "rayward_csrf"
CSRF_FAILURE_VIEW = "breeding.program.views.trouble.stale_form"
SECURE_REFERRER_POLICY = "same-origin"

# Sentences are written in English; a further language is a file in any room's folder `locale`.
LANGUAGE_CODE = catalogs.AS_WRITTEN
_catalogs = catalogs.catalogs()
LANGUAGES = catalogs.languages(_catalogs)
LOCALE_PATHS = [catalogs.together(_catalogs, HOME)]
TIME_ZONE = "UTC"  # the program's own time zone is switched on for each request
USE_TZ = True

STATIC_URL = "static/"
STATICFILES_DIRS = [CODE / "static"]
STATIC_ROOT = HOME / "static"
STORAGES = {
    "default": {"BACKEND": "breeding.program.kept.files.WholeFiles"},
    "staticfiles": {"BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage"},
}
MEDIA_ROOT = HOME / "files"
# Where the daily backups go; None when somebody switched them off.
_backups = os.environ.get("RAYWARD_BACKUPS", "")
BACKUPS = None if _backups == "off" else Path(_backups or HOME / "backups").expanduser().absolute()
FILE_UPLOAD_PERMISSIONS, FILE_UPLOAD_DIRECTORY_PERMISSIONS = 0o600, 0o700  # the owner's alone
DATA_UPLOAD_MAX_MEMORY_SIZE = 12 * 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FIELDS = 5000

# Mail: nothing is sent until RAYWARD_MAIL says through which server. One that cannot be read stops
# nothing else: the page for mail and `start` say what is wrong with it.
MAIL, MAIL_PROBLEM = None, ""
if os.environ.get("RAYWARD_MAIL"):
    try:
        MAIL = mail.read_mail_address(
            os.environ["RAYWARD_MAIL"], os.environ.get("RAYWARD_MAIL_FROM", "")
        )
    except mail.MailAddressError as problem:
        MAIL_PROBLEM = lazy(mail.problem_words, str)(problem)  # told to each reader
if MAIL:
    EMAIL_HOST, EMAIL_PORT = MAIL.host, MAIL.port
    EMAIL_HOST_USER, EMAIL_HOST_PASSWORD = MAIL.user, MAIL.password
    EMAIL_USE_TLS, EMAIL_USE_SSL = MAIL.starttls, MAIL.tls
    DEFAULT_FROM_EMAIL = MAIL.sender
else:
    EMAIL_BACKEND = "django.core.mail.backends.dummy.EmailBackend"
EMAIL_TIMEOUT = mail.TIMEOUT_SECONDS

DJANGO_TABLES2_TEMPLATE = "program/_table.html"
AUDITLOG_DISABLE_REMOTE_ADDR = True
AUDITLOG_USE_BASE_MANAGER = True  # else a withdrawn row that changes is kept as made from nothing

LOGGING = logs.configured(HOME, whole_words=DEBUG)
