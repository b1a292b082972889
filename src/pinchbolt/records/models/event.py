"""The event log: who said, read or did what, when. Rows are only ever added; the database itself refuses the rest."""

from collections.abc import Mapping

from django.db import models
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models.expressions import Expression
from django.db.models.sql.compiler import SQLCompiler
from django.db.models.sql.where import AND, WhereNode

from pinchbolt.records.models.json_field import JsonField
from pinchbolt.records.models.row import RecordRow

UNDONE = "undone"


class _NotUndone(Expression):
    """Whether no event undid the one that the query calls *alias*."""

    conditional = True

    def __init__(self, alias: str) -> None:
        super().__init__(output_field=models.BooleanField())
        self.alias = alias

    def as_sql(
        self, compiler: SQLCompiler, connection: BaseDatabaseWrapper
    ) -> tuple[str, tuple[str | int, ...]]:
        """As a question of its own, so that a correction without any undoing is one look at an index."""
        # An alias that the ORM made up (T3) stands without quotes in its joins, so here too.
        corrected = f"{compiler.quote_name_unless_alias(self.alias)}.{connection.ops.quote_name('id')}"
        sql = (
            "NOT EXISTS (SELECT 1 FROM records_event undoing "  # the alias is the ORM's own
            f"WHERE undoing.corrects_id = {corrected} AND undoing.kind = %s)"
        )
        return sql, (UNDONE,)

    def relabeled_clone(self, change_map: Mapping[str, str]) -> "_NotUndone":
        """Follow the query's renaming of its tables."""
        return _NotUndone(change_map.get(self.alias, self.alias))


class CorrectsField(models.ForeignKey["Event | None", "Event | None"]):
    """What an event puts right. Asked the other way (`corrected_by`), a correction that was undone itself counts no longer.

    So "named by none" (`corrected_by__isnull=True`) holds again for what an undone act had put right, and every question
    asks it in one way.
    """

    def deconstruct(self) -> tuple[str, str, list[object], dict[str, object]]:
        """As a plain foreign key: the column is one, and no table is built anew."""
        name, _, args, named = super().deconstruct()
        return name, "django.db.models.ForeignKey", list(args), dict(named)

    def get_extra_restriction(self, alias: str | None, related_alias: str | None) -> WhereNode | None:
        """Leave undone corrections out of a join; `related_alias` is the correction's side."""
        if related_alias is None:
            return None
        return WhereNode([_NotUndone(related_alias)], connector=AND)  # type: ignore[list-item]


class Event(RecordRow):
    """One act. `key` makes a repeated request the same act; `corrects` names the event that this one puts right.

    `fingerprint` is a digest of what was asked, so that one key can't stand for two different acts. `said` is what was asked,
    as JSON, without personal data of owners.
    """

    at = models.DateTimeField(db_index=True)
    by = models.ForeignKey("records.Person", on_delete=models.PROTECT, related_name="events")
    kind = models.CharField(max_length=40, db_index=True)
    key = models.CharField(max_length=80, unique=True)
    fingerprint = models.CharField(max_length=64)
    job = models.ForeignKey(
        "records.Job", on_delete=models.PROTECT, null=True, blank=True, related_name="events"
    )
    bike = models.ForeignKey(
        "records.Bike", on_delete=models.PROTECT, null=True, blank=True, related_name="events"
    )
    corrects = CorrectsField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="corrected_by"
    )
    said = JsonField(default=dict)

    class Meta:
        ordering = ["id"]
        indexes = [models.Index(fields=["bike", "kind", "id"], name="event_of_bike_by_kind")]

    def __str__(self) -> str:
        return f"{self.kind} {self.at:%Y-%m-%d %H:%M}"

    @property
    def stands(self) -> bool:
        """Whether no later event that stands itself corrects this one."""
        return not Event.objects.filter(pk=self.pk, corrected_by__isnull=False).exists()


class EventRow(RecordRow):
    """The typed side of an event; it counts as long as no later event corrects it (`event__corrected_by` is empty)."""

    event = models.OneToOneField(Event, on_delete=models.PROTECT, primary_key=True, related_name="%(class)s")

    class Meta:
        abstract = True
