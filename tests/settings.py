"""The settings of the tests: those of the site, made quick and made to leave nothing behind."""

import os

from config.settings import *  # noqa: F403

DEBUG = False
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
WHITENOISE_AUTOREFRESH = True  # static files come from where they lie; nothing need be collected first
# Files stay in memory, but where a test starts other processes that are to share them.
FILES = os.environ.get("FILES_OF_THE_TEST")
STORAGES = {
    "default": {"BACKEND": "config.whole_files.WholeFiles", "OPTIONS": {"location": FILES}}
    if FILES
    else {"BACKEND": "django.core.files.storage.InMemoryStorage"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
