"""Settings: safe values for development, production by environment variables.

SALON_ENV=production turns the safe defaults off: then a secret key and the host names must be given, cookies travel
by HTTPS alone, and nothing starts without them. README.md lists every variable.
"""

from pathlib import Path

import dj_database_url
import django_stubs_ext
from csp.constants import NONE, SELF

from salon import env

django_stubs_ext.monkeypatch()  # lets classes such as forms.ModelForm[User] name their model at run time too

BASE_DIR = Path(__file__).resolve().parent.parent
LOCAL_DIR = BASE_DIR / ".local"  # what this machine keeps: database and private media, never under static

PRODUCTION = env.one_of("SALON_ENV", ("development", "production"), default="development") == "production"
DEMO = env.boolean("SALON_DEMO", default=False)  # the sign-in page then shows the demo people's passwords
DEMO_DATABASE = LOCAL_DIR / "demo.sqlite3"  # what development works on; never a real salon's own
DEBUG = env.boolean("SALON_DEBUG", default=not PRODUCTION)

DEVELOPMENT_KEY = "for-development-only-anyone-can-read-this-key-in-the-source"
SECRET_KEY = env.secret("SALON_SECRET_KEY", required=PRODUCTION, default=DEVELOPMENT_KEY)
ALLOWED_HOSTS = env.words("SALON_HOSTS", required=PRODUCTION, default=["localhost", "127.0.0.1", "[::1]", "testserver"])
CSRF_TRUSTED_ORIGINS = [f"https://{host}" for host in ALLOWED_HOSTS] if PRODUCTION else []

INSTALLED_APPS = [
    "salon",
    "clients",
    "pieces",
    "fittings",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django.contrib.postgres",  # its exclusion constraints; idle on SQLite
    "crispy_forms",
    "crispy_bootstrap5",
    "django_htmx",
    "csp",
    "axes",
    "simple_history",
    "django_tasks",
    "django_tasks_db",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "salon.browser_powers.BrowserPowers",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "salon.signed_in.SignedInMiddleware",
    "salon.current.SalonMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "simple_history.middleware.HistoryRequestMiddleware",
    "clients.merged_references.MergedReferences",
    "axes.middleware.AxesMiddleware",
]

ROOT_URLCONF = "salon.urls"
WSGI_APPLICATION = "salon.wsgi.application"

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
                "salon.current.salon",
            ],
        },
    },
]

DATABASES = {
    "default": dj_database_url.parse(
        env.url(
            "DATABASE_URL",
            schemes=("sqlite", "postgres", "postgresql"),
            default=f"sqlite:///{LOCAL_DIR / 'salon.sqlite3' if PRODUCTION else DEMO_DATABASE}",
        ),
        conn_max_age=60,
    )
}
if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
    # WAL lets readers go on while one writes; IMMEDIATE makes two writers wait instead of failing halfway
    DATABASES["default"]["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        # 16 MB of pages at hand: sums over years of rows take half as long as with the 2 MB that SQLite keeps by itself
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL; PRAGMA cache_size=-16000;",
    }
    DATABASES["default"]["CONN_MAX_AGE"] = 0
    (LOCAL_DIR).mkdir(exist_ok=True)
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "salon.User"
AUTHENTICATION_BACKENDS = ["axes.backends.AxesStandaloneBackend", "django.contrib.auth.backends.ModelBackend"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 10}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
LOGIN_URL = "sign-in"
LOGIN_REDIRECT_URL = "home"
LOGOUT_REDIRECT_URL = "sign-in"
# ten wrong passwords for one name from one address rest that pair for a quarter of an hour
AXES_FAILURE_LIMIT = 10
AXES_COOLOFF_TIME = 0.25
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_LOCKOUT_TEMPLATE = "registration/locked.html"
AXES_VERBOSE = False

SESSION_COOKIE_AGE = 12 * 60 * 60  # a working day: a tablet left in the room signs itself out overnight
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = PRODUCTION
SESSION_COOKIE_HTTPONLY = True
SECURE_REFERRER_POLICY = "same-origin"
SECURE_SSL_REDIRECT = env.boolean("SALON_HTTPS_REDIRECT", default=PRODUCTION)
SECURE_HSTS_SECONDS = 365 * 24 * 60 * 60 if PRODUCTION else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = PRODUCTION
if env.boolean("SALON_BEHIND_PROXY", default=False):  # only when a proxy in front sets and cleans this header
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
X_FRAME_OPTIONS = "DENY"

# Photos lie on this machine, or in a bucket of an S3-compatible storage when all five variables are set
PHOTOS_IN_A_BUCKET = env.together(
    "SALON_PHOTOS_BUCKET",
    "SALON_PHOTOS_ENDPOINT",
    "SALON_PHOTOS_REGION",
    secrets=("SALON_PHOTOS_ACCESS_KEY", "SALON_PHOTOS_SECRET_KEY"),
)
PHOTOS_ORIGIN = (  # browsers go there by themselves, and would not leave a page in HTTPS for one without
    env.origin("SALON_PHOTOS_ENDPOINT", schemes=("https",) if PRODUCTION else ("https", "http"))
    if PHOTOS_IN_A_BUCKET
    else ""
)
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [SELF],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF, *([PHOTOS_ORIGIN] if PHOTOS_IN_A_BUCKET else [])],
        "object-src": [NONE],
        "base-uri": [SELF],
        "form-action": [SELF],
        "frame-ancestors": [NONE],
    },
}

LANGUAGE_CODE = "en-gb"
TIME_ZONE = "UTC"  # stored; each page is shown in the salon's own zone (salon.current)
USE_I18N = True
USE_TZ = True

STATIC_URL = "static/"
STATIC_ROOT = BASE_DIR / ".static"
STATICFILES_DIRS = [BASE_DIR / "static"]
_PHOTO_FILES = {
    "BACKEND": "django.core.files.storage.FileSystemStorage",
    "OPTIONS": {"file_permissions_mode": 0o600, "directory_permissions_mode": 0o700},
}
_PHOTO_BUCKET = {
    "BACKEND": "storages.backends.s3.S3Storage",
    "OPTIONS": {
        "bucket_name": env.text("SALON_PHOTOS_BUCKET"),
        "endpoint_url": PHOTOS_ORIGIN,
        "region_name": env.text("SALON_PHOTOS_REGION"),
        "access_key": env.secret("SALON_PHOTOS_ACCESS_KEY"),
        "secret_key": env.secret("SALON_PHOTOS_SECRET_KEY"),
        "security_token": None,  # none of these three is to be taken from variables meant for other programs
        "session_profile": None,
        "custom_domain": None,
        "addressing_style": "path",
        "signature_version": "s3v4",
        "default_acl": None,
        "querystring_auth": True,
        "querystring_expire": 60,  # seconds: long enough for the browser that was sent there
        "file_overwrite": True,  # nothing can be there under a new name, and asking takes a right to list the bucket
        "object_parameters": {"CacheControl": "private, no-store"},
    },
}
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "photos": _PHOTO_BUCKET if PHOTOS_IN_A_BUCKET else _PHOTO_FILES,
    "staticfiles": {
        "BACKEND": "salon.static_files.HashedStaticFiles"
        if PRODUCTION
        else "django.contrib.staticfiles.storage.StaticFilesStorage"
    },
}
WHITENOISE_USE_FINDERS = WHITENOISE_AUTOREFRESH = not PRODUCTION
# there is no MEDIA_URL: photos are handed out by views that ask who is looking; the demo's lie apart, and go with it
ON_THE_DEMO = str(DATABASES["default"]["NAME"]) == str(DEMO_DATABASE)
MEDIA_ROOT = LOCAL_DIR / ("demo-photos" if ON_THE_DEMO else "photos")
FILE_UPLOAD_MAX_MEMORY_SIZE = 2_500_000  # bytes; what is larger waits in a file that this process alone can read
DATA_UPLOAD_MAX_NUMBER_FILES = 30  # in one sending: a whole turn and a few more

# Messages to clients go by the first of these ways that reaches her (fittings/messages/channels.py)
MESSAGE_CHANNELS = env.words("SALON_MESSAGE_CHANNELS", default=["email"])
TEXT_MESSAGE_FOLDER = LOCAL_DIR / "text-messages"
SALON_ADDRESS = (  # begins the links in a message, which no visitor has asked for by a name
    env.origin("SALON_ADDRESS", schemes=("https",) if PRODUCTION else ("https", "http"))
    if env.text("SALON_ADDRESS")
    else ("" if PRODUCTION else "http://127.0.0.1:8000")
)
# Mail goes out once a server is named; until then, and always on the demo, it is written into files
EMAIL_HOST = env.text("SALON_EMAIL_HOST")
MAIL_GOES_OUT = bool(EMAIL_HOST) and not ON_THE_DEMO
EMAIL_BACKEND = f"django.core.mail.backends.{'smtp' if MAIL_GOES_OUT else 'filebased'}.EmailBackend"
EMAIL_FILE_PATH = LOCAL_DIR / "mail"
_MAIL_TLS = env.one_of("SALON_EMAIL_TLS", ("starttls", "tls", "none"), default="starttls")
EMAIL_USE_TLS, EMAIL_USE_SSL = _MAIL_TLS == "starttls", _MAIL_TLS == "tls"
EMAIL_PORT = env.number("SALON_EMAIL_PORT", least=1, most=65535, default=465 if EMAIL_USE_SSL else 587)
EMAIL_HOST_USER = env.text("SALON_EMAIL_USER")
EMAIL_HOST_PASSWORD = env.secret("SALON_EMAIL_PASSWORD")
EMAIL_TIMEOUT = (
    20  # seconds for each answer of the server; a claim goes stale far later (fittings/messages/claiming.py)
)
DEFAULT_FROM_EMAIL = env.text("SALON_EMAIL_FROM", required=bool(EMAIL_HOST), default="salon@salon.invalid")

TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}  # run by `manage.py db_worker`

CRISPY_ALLOWED_TEMPLATE_PACKS = CRISPY_TEMPLATE_PACK = "bootstrap5"

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "handlers": {"console": {"class": "logging.StreamHandler"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
}
