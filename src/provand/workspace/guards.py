"""Triggers that hold what the ledger promises, whoever writes: no row is changed, none is taken away."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.apps import apps

if TYPE_CHECKING:
    from django.db.backends.base.base import BaseDatabaseWrapper

CHAIN = """
CREATE TRIGGER workspace_issue_chain BEFORE INSERT ON workspace_issue
WHEN NEW.supersedes_id IS NOT NULL AND NOT EXISTS (
    SELECT 1 FROM workspace_issue WHERE id = NEW.supersedes_id AND race_id = NEW.race_id AND n = NEW.n - 1)
BEGIN SELECT RAISE(ABORT, 'an issue follows the one before, of the same race'); END
"""


CHANGING = ("workspace_user", "workspace_desk")
"""The only tables whose rows may change: who may sign in, and what is being typed."""


def tables() -> list[str]:
    """Return every table whose rows stay as they are, those between two models too."""
    models = apps.get_app_config("workspace").get_models(include_auto_created=True)
    return [model._meta.db_table for model in models if model._meta.db_table not in CHANGING]


def guards() -> dict[str, str]:
    """Return the statement that makes each trigger, by its name."""
    made = {
        f"{table}_no_{verb.lower()}": (
            f"CREATE TRIGGER {table}_no_{verb.lower()} BEFORE {verb} ON {table} "
            f"BEGIN SELECT RAISE(ABORT, 'rows of {table} are added, never changed'); END"
        )
        for table in tables()
        for verb in ("UPDATE", "DELETE")
    }
    return made | {"workspace_issue_chain": CHAIN}


def standing(connection: BaseDatabaseWrapper) -> set[str]:
    """Return the names of the triggers that stand in a database."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
        return {str(name) for (name,) in cursor.fetchall()}


def set_guards(connection: BaseDatabaseWrapper) -> None:
    """Make every trigger anew; a migration that builds a table again loses those of the old one."""
    with connection.cursor() as cursor:
        for name, statement in guards().items():
            cursor.execute(f"DROP TRIGGER IF EXISTS {name}")
            cursor.execute(statement)
