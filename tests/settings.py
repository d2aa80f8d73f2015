"""The settings of the tests: those of the site, made quick and made to leave nothing behind."""

import os
from tempfile import TemporaryDirectory

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
if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":  # noqa: F405
    # In a file, as the site's: connections to one in memory do not wait for one another.
    FOLDER = TemporaryDirectory()
    DATABASES["default"]["TEST"] = {"NAME": f"{FOLDER.name}/test.sqlite3"}  # noqa: F405
    DATABASES["default"]["OPTIONS"]["init_command"] = "PRAGMA journal_mode=WAL; PRAGMA synchronous=OFF;"  # noqa: F405
CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
