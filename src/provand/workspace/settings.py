"""Django's settings: one SQLite file, written ahead, one writer at a time; no network, no page yet."""

from provand.workspace.where import ledger_path

INSTALLED_APPS = ["provand.workspace"]
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
