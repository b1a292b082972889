"""Django's handle on the records."""

from django.apps import AppConfig
from django.core.signals import request_started
from django.db.backends.signals import connection_created

from pinchbolt.records.same_file import let_go_of_files_that_went, remember_its_file


class RecordsConfig(AppConfig):
    """The one Django app with tables of ours."""

    name = "pinchbolt.records"
    label = "records"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """See to connections that are kept between requests."""
        connection_created.connect(remember_its_file)
        request_started.connect(let_go_of_files_that_went)
