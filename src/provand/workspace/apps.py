"""The application as Django knows it."""

from django.apps import AppConfig


class WorkspaceConfig(AppConfig):
    """The one application of the workspace; its tables begin with `workspace_`."""

    name = "provand.workspace"
    label = "workspace"
    default_auto_field = "django.db.models.BigAutoField"
