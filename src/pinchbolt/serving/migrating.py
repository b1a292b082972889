"""Bringing the database up to this release, and never working on one that a later release has written."""

from pinchbolt.errors import NotPossibleNow
from pinchbolt.values.wording import worded


def open_steps() -> int:
    """Return how many steps the database is behind this release; all of them where it is new."""
    from django.db import connection
    from django.db.migrations.executor import MigrationExecutor

    executor = MigrationExecutor(connection)
    return len(executor.migration_plan(executor.loader.graph.leaf_nodes()))


def migrate() -> None:
    """Bring the database up to this release; a new home folder gets its database.

    Raises:
        NotPossibleNow: A later release has written here.
    """
    from django.core.management import call_command

    from pinchbolt.records.filled import tell_the_planner
    from pinchbolt.records.laid import lay_new

    refuse_later()
    lay_new()
    call_command("migrate", verbosity=0, interactive=False)
    _erase_again()
    tell_the_planner()


def _erase_again() -> None:
    """Whom a copy brought back goes again: the list of erased numbers lies beside the records, not in them."""
    from django.utils import timezone

    from pinchbolt.workshop.keeping.erase import erase_again
    from pinchbolt.workshop.keeping.erased_list import erased_numbers, note_all_erased

    erase_again(erased_numbers(), timezone.now())
    note_all_erased()


def refuse_later() -> None:
    """Refuse records of a later release: an older program would half understand them.

    Raises:
        NotPossibleNow: The database holds steps that this release does not know.
    """
    from django.db import connection
    from django.db.migrations.loader import MigrationLoader

    loader = MigrationLoader(connection)
    unknown = sorted(
        name for app, name in loader.applied_migrations or {} if _is_later(app, name, loader.graph.nodes)
    )
    if unknown:
        raise NotPossibleNow(
            worded(
                "These records were written by a newer pinchbolt ({unknown}). Update pinchbolt "
                "first, then try again.",
                unknown=unknown[-1],
            )
        )


def _is_later(app: str, name: str, known: object) -> bool:
    return app == "records" and (app, name) not in known  # type: ignore[operator]
