"""Bringing the database up to this release."""


def open_steps() -> int:
    """Return how many steps the database is behind this release; all of them where it is new."""
    from django.db import connection
    from django.db.migrations.executor import MigrationExecutor

    executor = MigrationExecutor(connection)
    return len(executor.migration_plan(executor.loader.graph.leaf_nodes()))


def migrate() -> None:
    """Bring the database up to this release; a new home folder gets its database."""
    from django.core.management import call_command

    call_command("migrate", verbosity=0, interactive=False)
