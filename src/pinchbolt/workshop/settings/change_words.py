"""How a change of the settings is told: what it is now, and what it was."""

from collections.abc import Mapping
from decimal import Decimal

from pinchbolt.records.models import Event
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import money_of_shop
from pinchbolt.workshop.acts.setting_changes import ChangeView, can_be_undone, changes_of
from pinchbolt.workshop.common.trade_tables import tables_in_use
from pinchbolt.workshop.settings.row_fields import TABLES, as_typed, row_in, row_name

_CALLED = {
    "name": "name", "town": "town", "country": "country", "currency": "currency", "address": "address", "phone": "phone", "mail": "e-mail",
    "tax_number": worded("tax number"), "is_registered": worded("registered for tax"), "holds_days": worded("prices hold, days"),
    "remind_days": worded("reminder after, days"), "foot_words": worded("words at the foot"), "paper": "paper", "open_days": "open",
    "stands": "stands", "words": "words", "backup_place": worded("second place for backups"), "labour": worded("labour an hour"),
    "chain_school": worded("chains are changed"), "first_list_away": "first list put away",
}  # fmt: skip
_PLAIN: Mapping[str, str] = {
    "workshop opened": worded("the workshop was opened"), "own pin set": worded("own PIN set"), "passphrase set": worded("new passphrase"),
    "own passphrase set": "own passphrase set", "person added": "added", "tables read": worded("files that were changed by hand read"),
    "tablet ended": worded("a tablet signed out"), "tablet named": worded("a tablet named"), "backup made": "backup made",
}  # fmt: skip
SHOWN_AT_MOST = 8


def changes_seen(page: str) -> tuple[ChangeView, ...]:
    """Return the newest changes of a page, in words."""
    rows = changes_of(page)
    gone = {row.corrects_id for row in rows}
    return tuple(
        ChangeView(
            row.pk, row.at, row.by.name, change_words(row), row.pk not in gone and can_be_undone(row, rows)
        )
        for row in rows[:SHOWN_AT_MOST]
    )


def change_words(event: Event) -> str:
    """Return a change in words."""
    said = event.said if isinstance(event.said, dict) else {}
    now, was = said.get("now"), said.get("was", {})
    back = worded("taken back: ") if event.kind == "setting taken back" else ""
    if not isinstance(now, dict):
        whose = str(said.get("sign_in") or said.get("what") or "")
        return f"{_PLAIN.get(event.kind, event.kind)}{f', {whose}' if whose else ''}"
    if not now:
        return worded("{kind}, nothing else than before", kind=event.kind)
    told = [_field(name, value, was.get(name)) for name, value in list(now.items())[:3]]
    more = worded(" and {now} more", now=len(now) - 3) if len(now) > 3 else ""
    day = worded(", from {said}", said=said["from_day"]) if said.get("from_day") else ""
    why = f" ({said['why']})" if said.get("why") else ""
    return f"{back}{'; '.join(told)}{more}{day}{why}"


def _field(name: str, now: object, was: object) -> str:
    table, slash, id = name.partition("/")
    if slash and table in TABLES:
        row = row_in(tables_in_use().tables, table, id)
        return worded(
            "{row_name}: {now} (was {was})",
            row_name=row_name(table, row) if row else id,
            now=_row(now),
            was=_row(was),
        )
    if name == "labour":
        return worded("{called} {now} (was {was})", called=_CALLED[name], now=_money(now), was=_money(was))
    return worded(
        "{called} {now} (was {was})", called=_CALLED.get(name, name), now=_value(now), was=_value(was)
    )


def _row(fields: object) -> str:
    if not isinstance(fields, dict) or not fields:
        return worded("as the trade table")
    shown = {name: value for name, value in fields.items() if name not in ("source", "certain")}
    return ", ".join(
        f"{name.replace('_', ' ')} {as_typed(value)}"[:80] for name, value in list(shown.items())[:4]
    )


def _money(amount: object) -> str:
    return money_of_shop(Decimal(str(amount)))


def _value(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, dict):
        told = [f"{name} {_value(one)}".strip() for name, one in value.items()]
        return ", ".join(told)[:160] or "nothing"
    if isinstance(value, list):
        return worded(" to ").join(str(one) for one in value)
    return "nothing" if value in (None, "") else str(value)[:80]
