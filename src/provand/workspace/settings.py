"""Django's settings: one SQLite file, written ahead, one writer at a time; pages for this machine alone.

The secret that signs sessions stands beside the ledger and is read when pages are served (`web`).
"""

from importlib.resources import files

from provand.workspace.where import ledger_path

INSTALLED_APPS = [
    "django.contrib.contenttypes",
    "django.contrib.auth",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django_htmx",
    "axes",
    "provand.workspace",
]
USE_TZ = True
TIME_ZONE = "UTC"
DATABASES = {
    "default": {
        "ENGINE": "django.db.backends.sqlite3",
        "NAME": str(ledger_path()),
        "OPTIONS": {
            "timeout": 30,
            "transaction_mode": "IMMEDIATE",
            # Without recursive triggers a REPLACE would delete a row unseen by the guards.
            "init_command": "PRAGMA journal_mode=WAL;PRAGMA synchronous=FULL;PRAGMA recursive_triggers=ON",
        },
    }
}

ROOT_URLCONF = "provand.workspace.urls"
ALLOWED_HOSTS = ["127.0.0.1", "localhost", "[::1]"]
MIDDLEWARE = [
    "provand.workspace.middleware.headers",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.middleware.gzip.GZipMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "provand.workspace.middleware.signed_in",
    "provand.workspace.middleware.by_own_clock",
    "provand.workspace.middleware.told",
    "axes.middleware.AxesMiddleware",
]
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "provand.workspace.parts.parts",
            ],
        },
    }
]
STATIC_URL = "/static/"
STATICFILES_DIRS = [
    (f"fonts/{name}", str(files(package) / "files"))
    for name, package in (
        ("sans", "fontpkg_fira_sans"),
        ("condensed", "fontpkg_fira_sans_condensed"),
        ("serif", "fontpkg_spectral"),
    )
]
WHITENOISE_USE_FINDERS = True

AUTH_USER_MODEL = "workspace.User"
AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "django.contrib.auth.backends.ModelBackend",
]
PASSWORD_HASHERS = ["django.contrib.auth.hashers.Argon2PasswordHasher"]
AUTH_PASSWORD_VALIDATORS = [
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 12},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
LOGIN_URL = "enter"
AXES_FAILURE_LIMIT = 5
AXES_COOLOFF_TIME = 0.25
"""Hours for which a name is locked out after so many wrong passphrases."""
AXES_LOCKOUT_PARAMETERS = ["username"]
AXES_USERNAME_FORM_FIELD = "username"
AXES_RESET_ON_SUCCESS = True
AXES_VERBOSE = False
AXES_ENABLE_ADMIN = False
AXES_LOCKOUT_CALLABLE = "provand.workspace.views.account.locked_out"
SILENCED_SYSTEM_CHECKS: list[str] = []

SESSION_COOKIE_AGE = 10 * 3600
SESSION_SAVE_EVERY_REQUEST = True
SESSION_COOKIE_SAMESITE = CSRF_COOKIE_SAMESITE = "Strict"
SESSION_COOKIE_NAME, CSRF_COOKIE_NAME = "provand_session", "provand_form"
CSRF_FAILURE_VIEW = "provand.workspace.views.account.form_too_old"
MESSAGE_STORAGE = "django.contrib.messages.storage.session.SessionStorage"
SECURE_REFERRER_POLICY = "same-origin"
DATA_UPLOAD_MAX_MEMORY_SIZE = 45_000_000
FILE_UPLOAD_HANDLERS = ["django.core.files.uploadhandler.MemoryFileUploadHandler"]
FILE_UPLOAD_MAX_MEMORY_SIZE = DATA_UPLOAD_MAX_MEMORY_SIZE
LOGGING_CONFIG = None
