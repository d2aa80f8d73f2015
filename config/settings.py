"""Settings. The environment is read here and nowhere else; every name is listed in DEVELOPERS.md."""

from pathlib import Path

import environ
from csp.constants import NONE, SELF

BASE_DIR = Path(__file__).resolve().parent.parent
env = environ.Env()

DEBUG = env.bool("DEBUG", default=True)
DEVELOPMENT_KEY = "development-only-key-never-for-a-served-site"
SECRET_KEY = env("SECRET_KEY", default=DEVELOPMENT_KEY)
if not DEBUG and SECRET_KEY == DEVELOPMENT_KEY:
    raise environ.ImproperlyConfigured("Set SECRET_KEY to a long random text before serving with DEBUG off.")
ALLOWED_HOSTS = env.list("ALLOWED_HOSTS", default=["localhost", "127.0.0.1", "[::1]"])
CSRF_TRUSTED_ORIGINS = env.list("CSRF_TRUSTED_ORIGINS", default=[])
SECRET_KEY_FALLBACKS = env.list("SECRET_KEY_FALLBACKS", default=[])

INSTALLED_APPS = [
    "inspections",
    "remedies",
    "reports",
    "django.contrib.admin",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "crispy_forms",
    "crispy_bootstrap5",
    "django_htmx",
    "js_lib_bootstrap5",
    "simple_history",
    "allauth",
    "allauth.account",
    "allauth.mfa",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "config.headers.HeadersMiddleware",
    "csp.middleware.CSPMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.gzip.GZipMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "config.characters.NoNulMiddleware",
    "config.guard.GuardMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "simple_history.middleware.HistoryRequestMiddleware",
    "inspections.views.undo.ActMiddleware",
    "allauth.account.middleware.AccountMiddleware",
]

ROOT_URLCONF = "config.urls"
WSGI_APPLICATION = "config.wsgi.application"
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
                "config.guard.may",
            ],
        },
    }
]

DATABASES = {"default": env.db("DATABASE_URL", default=f"sqlite:///{BASE_DIR / 'db.sqlite3'}")}
if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
    DATABASES["default"]["OPTIONS"] = {
        # A writer takes its lock at once and waits for it, so that two people saving never meet
        # "database is locked" half way through.
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL;",
    }
else:
    # Opening a connection costs more than a page asks of it; one that has died meanwhile is opened anew.
    DATABASES["default"] |= {"CONN_MAX_AGE": 60, "CONN_HEALTH_CHECKS": True}
if REPLICA_URL := env("REPLICA_URL", default=""):
    DATABASES["replica"] = env.db_url_config(REPLICA_URL)
    DATABASE_ROUTERS = ["config.routers.AuditFromReplica"]
    MIDDLEWARE.insert(0, "config.routers.ReplicaMiddleware")
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "inspections.Member"
PASSWORD_HASHERS = ["django.contrib.auth.hashers.Argon2PasswordHasher"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 12}},
    {"NAME": "inspections.passwords.MaximumLengthValidator"},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
PASSWORD_RESET_TIMEOUT = 3 * 24 * 60 * 60  # an invitation's link holds so long

EMAIL_URL = env("EMAIL_URL", default="")
MAIL_IS_SET = EMAIL_URL != ""
if MAIL_IS_SET:
    globals().update(env.email_url_config(EMAIL_URL))
DEFAULT_FROM_EMAIL = env("MAIL_FROM", default="stillacross@localhost")

# Signing in, by allauth. Nobody signs up: a member comes by the first run or by invitation.
AUTHENTICATION_BACKENDS = ["allauth.account.auth_backends.AuthenticationBackend"]
LOGIN_URL = "account_login"
LOGIN_REDIRECT_URL = "today"
ACCOUNT_ADAPTER = "inspections.sign_in.SignInAdapter"
ACCOUNT_USER_MODEL_USERNAME_FIELD = None
ACCOUNT_LOGIN_METHODS = {"email"}
ACCOUNT_SIGNUP_FIELDS = ["email*", "password1*", "password2*"]
ACCOUNT_SESSION_REMEMBER = True
ACCOUNT_LOGOUT_REDIRECT_URL = "account_login"
ACCOUNT_EMAIL_VERIFICATION = "mandatory" if MAIL_IS_SET else "none"
ACCOUNT_LOGIN_ON_EMAIL_CONFIRMATION = True  # only in the browser where the password was given
ACCOUNT_EMAIL_NOTIFICATIONS = MAIL_IS_SET
ACCOUNT_EMAIL_UNKNOWN_ACCOUNTS = False
ACCOUNT_EMAIL_SUBJECT_PREFIX = "Stillacross: "
ACCOUNT_RATE_LIMITS = {  # per address on the network, per address of e-mail (key), per member
    "login": "30/m/ip",
    "login_failed": "10/m/ip,5/5m/key",  # the codes of a second factor too, by member
    "reauthenticate": "10/m/user",
    "reset_password": "20/m/ip,5/h/key",
    "reset_password_from_key": "20/m/ip",
    "change_password": "5/m/user",
    "confirm_email": "1/3m/key",
}
ALLAUTH_TRUSTED_PROXY_COUNT = env.int("TRUSTED_PROXIES", default=0)
ACCOUNT_FORMS = {
    "login": "inspections.forms.session.SignInForm",
    "reauthenticate": "inspections.forms.session.SignInAgainForm",
    "change_password": "inspections.forms.session.ChangePasswordForm",
    "reset_password": "inspections.forms.session.ForgottenPasswordForm",
    "reset_password_from_key": "inspections.forms.session.NewPasswordForm",
}
MFA_ADAPTER = "inspections.sign_in.SecondFactorAdapter"
MFA_SUPPORTED_TYPES = ["totp", "webauthn", "recovery_codes"]
MFA_TOTP_ISSUER = "Stillacross"
MFA_ALLOW_UNVERIFIED_EMAIL = not MAIL_IS_SET
MFA_FORMS = {
    "authenticate": "inspections.forms.session.CodeForm",
    "reauthenticate": "inspections.forms.session.CodeAgainForm",
    "activate_totp": "inspections.forms.session.AppForm",
    "deactivate_totp": "inspections.forms.session.AppRemovalForm",
    "add_webauthn": "inspections.forms.session.PasskeyForm",
    "edit_webauthn": "inspections.forms.session.PasskeyNameForm",
    "generate_recovery_codes": "inspections.forms.session.RecoveryCodesForm",
}
CACHES = {  # counts attempts to sign in, for every process of the server alike
    "default": {"BACKEND": "django.core.cache.backends.db.DatabaseCache", "LOCATION": "attempts"}
}

# A PKCS#12 file: the PDF of a record is then signed with its certificate when the record is issued.
SIGNING_CERTIFICATE = env("SIGNING_CERTIFICATE", default="")
SIGNING_PASSPHRASE = env("SIGNING_PASSPHRASE", default="")

LANGUAGE_CODE = "en-gb"
TIME_ZONE = env("TIME_ZONE", default="Europe/London")
USE_TZ = True

STATIC_URL = "static/"
STATIC_ROOT = env.path("STATIC_ROOT", default=str(BASE_DIR / "staticfiles"))
STATICFILES_DIRS = [BASE_DIR / "static"]
MEDIA_URL = "media/"
MEDIA_ROOT = env.path("MEDIA_ROOT", default=str(BASE_DIR / "media"))
STORAGES = {
    "default": {"BACKEND": "config.whole_files.WholeFiles"},
    "staticfiles": {
        "BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"
        if DEBUG
        else "config.static_files.HashedFiles"
    },
}
# Photographs and issued PDFs in a bucket, which is never open to anyone: our own pages ask who may see one,
# and send it.
if S3_BUCKET := env("S3_BUCKET", default=""):
    STORAGES["default"] = {
        "BACKEND": "storages.backends.s3.S3Storage",
        "OPTIONS": {
            "bucket_name": S3_BUCKET,
            "endpoint_url": env("S3_ENDPOINT", default="") or None,
            "region_name": env("S3_REGION", default="") or None,
            "access_key": env("S3_ACCESS_KEY", default="") or None,
            "secret_key": env("S3_SECRET_KEY", default="") or None,
            "default_acl": "private",
            "file_overwrite": False,
        },
    }

CRISPY_ALLOWED_TEMPLATE_PACKS = "bootstrap5"
CRISPY_TEMPLATE_PACK = "bootstrap5"
DATA_UPLOAD_MAX_NUMBER_FIELDS = 20_000  # a board of several hundred circuits saved as one plain form

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF, "data:"],  # Bootstrap draws the marks of its fields from its style sheet
        "font-src": [SELF],
        "connect-src": [SELF],
        "form-action": [SELF],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
    }
}
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = CSRF_COOKIE_SAMESITE = "Lax"
if not DEBUG:
    SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = True
    # By this prefix a browser takes the cookie from this host alone, and over https.
    SESSION_COOKIE_NAME, CSRF_COOKIE_NAME = "__Host-sessionid", "__Host-csrftoken"
    SECURE_SSL_REDIRECT = env.bool("SECURE_SSL_REDIRECT", default=True)
    if ALLAUTH_TRUSTED_PROXY_COUNT:  # else the header is whatever the browser says
        SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    SECURE_REDIRECT_EXEMPT = [r"^healthz$"]  # asked by what watches over the site, beside it
    SECURE_HSTS_SECONDS = env.int("SECURE_HSTS_SECONDS", default=365 * 24 * 60 * 60)
    SECURE_HSTS_INCLUDE_SUBDOMAINS = True
    # Whether browsers are told of the whole domain beforehand is for whoever owns it to ask.
    SILENCED_SYSTEM_CHECKS = ["security.W021"]
    LOGGING = {
        "version": 1,
        "disable_existing_loggers": False,
        "formatters": {"plain": {"()": "config.logs.WithoutPersonalData"}},
        "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "plain"}},
        "loggers": {
            "django": {"handlers": ["console"], "level": "WARNING", "propagate": False},
            "sign_in": {"handlers": ["console"], "level": "INFO", "propagate": False},
        },
    }
