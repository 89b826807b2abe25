"""Django's settings, worked out from the station's folder and the environment. Nothing is typed in twice."""

from __future__ import annotations

import os
import secrets
from pathlib import Path

from haulbook.station.folder import FOLDER, Folder

HERE = Path(__file__).resolve().parent
HAULBOOK_FOLDER = Folder.of_environment()
HAULBOOK_NOW = os.environ.get("HAULBOOK_NOW")
"""An instant that stands for now, for rehearsals and pictures."""

SECRET_KEY = HAULBOOK_FOLDER.secret() if FOLDER in os.environ else secrets.token_urlsafe(50)
"""Of the station's folder; a passing one where no folder is named, as when types are checked."""
DEBUG = False
ALLOWED_HOSTS = os.environ.get("HAULBOOK_HOSTS", "localhost 127.0.0.1 [::1]").split()
CSRF_TRUSTED_ORIGINS = os.environ.get("HAULBOOK_ORIGINS", "").split()
BEHIND_HTTPS = os.environ.get("HAULBOOK_HTTPS") == "1"
"""Set where a proxy or granian itself speaks HTTPS: cookies then never travel in the clear."""
BEHIND_PROXY = os.environ.get("HAULBOOK_PROXY") == "1"
"""Set where only a proxy reaches this server: it says who asks, and whether by HTTPS."""
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if BEHIND_PROXY else None
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = BEHIND_HTTPS
SECURE_HSTS_SECONDS = 31_536_000 if BEHIND_HTTPS else 0

INSTALLED_APPS = [
    "django.contrib.contenttypes",
    "django.contrib.auth",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "haulbook.station",
]
MIDDLEWARE = [
    *(["haulbook.station.web.security.asked_through_proxy"] if BEHIND_PROXY else []),
    "django.middleware.security.SecurityMiddleware",
    "haulbook.station.web.security.headers",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "haulbook.station.web.answers.Answers",
]
ROOT_URLCONF = "haulbook.station.urls"
WSGI_APPLICATION = "haulbook.station.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.jinja2.Jinja2",
        "DIRS": [HERE / "templates"],
        "OPTIONS": {
            "environment": "haulbook.station.web.jinja.environment",
            "context_processors": [
                "django.contrib.messages.context_processors.messages",
                "haulbook.station.web.jinja.of_request",
            ],
        },
    }
]
DATABASES = {"default": HAULBOOK_FOLDER.database()}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "station.Person"
AUTHENTICATION_BACKENDS = ["haulbook.station.people.accounts.ByLogin"]
PASSWORD_HASHERS = ["django.contrib.auth.hashers.Argon2PasswordHasher"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 10}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "django.contrib.auth.password_validation.NumericPasswordValidator"},
]
LOGIN_URL = "sign-in"
SESSION_COOKIE_NAME = "haulbook"
SESSION_COOKIE_AGE = 14 * 24 * 3600
SESSION_COOKIE_SAMESITE = CSRF_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_HTTPONLY = CSRF_COOKIE_HTTPONLY = True
CSRF_FAILURE_VIEW = "haulbook.station.web.answers.form_too_old"
MESSAGE_STORAGE = "django.contrib.messages.storage.session.SessionStorage"
X_FRAME_OPTIONS = "DENY"
SECURE_REFERRER_POLICY = "same-origin"

LANGUAGE_CODE = "en"
LANGUAGES = [("en", "English")]
LOCALE_PATHS = [HERE / "locale"]
FORMAT_MODULE_PATH = ["haulbook.station.formats"]
USE_I18N = USE_TZ = True
TIME_ZONE = "UTC"

STATIC_URL = "static/"
STATICFILES_DIRS = [HERE / "static"]
STATICFILES_FINDERS = ["django.contrib.staticfiles.finders.FileSystemFinder"]
WHITENOISE_USE_FINDERS = True
WHITENOISE_ALLOW_ALL_ORIGINS = False
WHITENOISE_MAX_AGE = 3600

DATA_UPLOAD_MAX_MEMORY_SIZE = 40_000_000  # a sync batch is at most 500 entries of 64 kB
DATA_UPLOAD_MAX_NUMBER_FIELDS = 20_000  # a transcribed sheet is a large form
FILE_UPLOAD_MAX_MEMORY_SIZE = 2_500_000
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"plain": {"format": "%(asctime)s %(levelname)s %(name)s: %(message)s"}},
    "handlers": {"stderr": {"class": "logging.StreamHandler", "formatter": "plain"}},
    "root": {"handlers": ["stderr"], "level": "WARNING"},
    "loggers": {"django.request": {"level": "ERROR"}, "django.security": {"level": "ERROR"}},
}
