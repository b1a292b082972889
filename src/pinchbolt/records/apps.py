"""Django's handle on the records."""

from django.apps import AppConfig


class RecordsConfig(AppConfig):
    """The one Django app with tables of ours."""

    name = "pinchbolt.records"
    label = "records"
    default_auto_field = "django.db.models.BigAutoField"
