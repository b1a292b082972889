"""Rows of the tables on screens: tried, saved, refused, taken back; files changed by hand; what was asked keeps its own."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from django.test import Client

from pinchbolt.records.models import Event, Person, Workshop
from pinchbolt.serving.doctor import look_over
from pinchbolt.workshop.common.trade_tables import read_tables_again, tables, tables_in_use
from pinchbolt.workshop.stays.note_finding import findings_of
from tests import story
from tests.bench.conftest import Cast
from tests.bench.test_settings import seen_on, send, text, undo
from tests.story import NOW

pytestmark = pytest.mark.django_db
CHAIN = "chain-elongation-12to13"
ROW = f"/settings/row/limit/{CHAIN}/"


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """The folder of the shop's own rows."""
    monkeypatch.setattr("django.conf.settings.SHOP_TABLES", str(tmp_path / "tables"))
    read_tables_again()
    yield tmp_path / "tables"
    monkeypatch.undo()
    read_tables_again()


@pytest.fixture
def owner(cast: Cast, signed_in: Callable[[Person], Client]) -> Client:
    """A tablet on which the owner of the workshop is signed in."""
    Workshop.objects.update(is_demo=False)
    return signed_in(cast.owner)


def test_a_row_is_tried_without_saving_and_says_what_would_follow(cast: Cast, owner: Client) -> None:
    """Softer than the trade table said with a caution, how many bikes, which newest reading reads otherwise; nothing is written."""
    story.walked_round(cast.story)
    page = text(owner.post(f"{ROW}try/", {"limit": "0,8", "warn": "0.6", "key": "rows-try-001"}))
    assert "Softer than the trade table (watch from, limit)" in page
    assert "1 bike has such a part" in page
    assert f"{cast.tag}, over 0.5 and under 0.75 %: past its limit becomes to be watched" in page
    assert not Event.objects.filter(kind="row changed").exists()
    assert tables().limits[CHAIN].limit == 0.5


@pytest.mark.parametrize(
    ("row", "label", "unit"),
    [
        ("instrument/chain-gauge-go-nogo", "spread", "%"),
        ("instrument/caliper", "spread", "mm"),
        ("price/chain-1", "price of one", "GBP"),
        ("operation/chain", "fixed price of the labour", "GBP"),
    ],
)
def test_a_figure_of_a_row_has_its_unit(owner: Client, row: str, label: str, unit: str) -> None:
    """A chain gauge reads in percent of elongation, what costs in the shop's money."""
    assert f'{label} <span class="unit">{unit}</span>' in text(owner.get(f"/settings/row/{row}/"))


def test_a_fault_of_the_row_stands_at_its_field(owner: Client) -> None:
    """A watch above its limit, and a word for a figure: the sentence of the tables' own check, the entry kept."""
    answer = owner.post(f"{ROW}save/", {"warn": "0.9", "limit": "0.5", "key": "rows-fault-001"})
    page = text(answer)
    assert answer.status_code == 422 and 'value="0.9"' in page
    assert "limits.toml" in page and str(tables_in_use().digests) == "{}"
    answer = owner.post(f"{ROW}save/", {"limit": "soon", "key": "rows-fault-002"})
    assert "a number is expected" in text(answer) and 'value="soon"' in text(answer)


def test_softer_needs_a_reason_and_is_saved_undone_and_taken_again(
    cast: Cast, owner: Client, home: Path
) -> None:
    """The file is written from the act, the one before kept; undo writes the row before; the history takes it again."""
    fields = {"limit": "0.75", "warn": ""}
    answer = owner.post(f"{ROW}save/", {**fields, "key": "rows-soft-001"})
    assert answer.status_code == 422 and "say why in a few words" in text(answer)
    page = send(owner, f"{ROW}save/", "soft-2", **fields, why="winter riders run both out")
    assert "limit 0.75" in page and "winter riders run both out" in page
    assert tables().limits[CHAIN].limit == 0.75 and tables().limits[CHAIN].warn == 0.4
    assert (home / "limits.toml").read_text() == f'[[limit]]\nid = "{CHAIN}"\nlimit = 0.75\n'
    event = Event.objects.get(kind="row changed")
    assert event.said["was"] == {f"limit/{CHAIN}": {}} and event.said["now"] == {
        f"limit/{CHAIN}": {"limit": 0.75}
    }
    page = undo(owner, page, "soft-3")
    assert tables().limits[CHAIN].limit == 0.5 and not tables().limits[CHAIN].from_shop
    assert list((home / "earlier").glob("limits.toml.*"))
    again = text(owner.get(f"{ROW}?again={event.pk}"))
    assert 'value="0.75"' in again
    send(owner, f"{ROW}save/", "soft-4", limit="0.75", why="again")
    send(owner, f"{ROW}as-trade/", "soft-5", limit="0.75")
    assert not tables().limits[CHAIN].from_shop


def test_a_finding_keeps_its_own_and_says_by_which_rows_it_was_judged(cast: Cast, owner: Client) -> None:
    """What was found before the change stays; a reading after it is judged by the new row and keeps its version."""
    told = story.walked_round(cast.story)
    before = {one.id: one.verdict for one in findings_of(told.record)}
    send(owner, f"{ROW}save/", "keeps-1", limit="0.9", warn="0.8", why="ours")
    assert {one.id: one.verdict for one in findings_of(told.record)} == before
    version = tables_in_use().version
    assert version
    story.walked_round(told)
    newest = Event.objects.filter(kind="reading taken").order_by("-pk")[0]
    first = Event.objects.filter(kind="reading taken").order_by("pk")[0]
    assert newest.said["tables"] == version and "tables" not in first.said


def test_two_people_at_one_row_and_the_second_chooses(cast: Cast, owner: Client) -> None:
    """Nothing is written over unseen."""
    stale = seen_on(text(owner.get(ROW)))
    send(owner, f"{ROW}save/", "both-1", limit="0.45", seen=stale)
    answer = owner.post(f"{ROW}save/", {"limit": "0.42", "seen": stale, "key": "rows-both-002"})
    page = text(answer)
    assert answer.status_code == 409 and "changed this meanwhile: as the trade table to limit 0.45" in page
    assert 'value="0.42"' in page and tables().limits[CHAIN].limit == 0.45
    send(owner, f"{ROW}save/", "both-3", limit="0.42", seen=seen_on(page))
    assert tables().limits[CHAIN].limit == 0.42


def test_a_bad_file_never_takes_and_the_last_good_rows_go_on(cast: Cast, owner: Client, home: Path) -> None:
    """Broken by hand after a good start: settings and doctor name file, row and field, and the rows before are used."""
    send(owner, f"{ROW}save/", "bad-1", limit="0.45")
    (home / "limits.toml").write_text(f'[[limit]]\nid = "{CHAIN}"\nlimit = "soon"\n')
    read_tables_again()
    assert tables().limits[CHAIN].limit == 0.45
    page = text(owner.get("/settings/limits/"))
    assert "A file does not take" in page and CHAIN in page and "limit" in page
    found = next(one for one in look_over(NOW) if one.what == "trade tables")
    assert not found.good and not found.stops
    assert f'row "{CHAIN}", field "limit"' in found.words and "are used until it is right" in found.words
    # No screen writes over what a hand is busy with.
    refused = owner.post(f"{ROW}save/", {"limit": "0.42", "key": "rows-bad-002"})
    assert refused.status_code == 409 and "was changed by hand" in text(refused)
    (home / "limits.toml").write_text(f'[[limit]]\nid = "{CHAIN}"\nlimit = 0.44\n')
    send(owner, "/settings/limits/read-again/", "bad-3")
    assert tables().limits[CHAIN].limit == 0.44
    assert "Changed by hand" not in text(owner.get("/settings/limits/"))


def test_a_bad_file_at_the_start_leaves_the_trade_s_rows(home: Path) -> None:
    """Nothing was ever good: the trade's rows, and the fault is said."""
    home.mkdir()
    (home / "limits.toml").write_text("[[limit]\n")
    used = read_tables_again()
    assert used.refused is not None and used.tables.limits[CHAIN].limit == 0.5 and used.version == ""


def test_a_joint_says_that_the_marking_still_caps_it(cast: Cast, owner: Client) -> None:
    """The bar marked 5 N·m: a greatest of 8 lifts nothing."""
    story.worked(story.answered(story.priced(story.walked_round(cast.story))))
    page = text(owner.post("/settings/row/joint/stem-face-4/try/", {"high": "6.5", "key": "rows-joint-01"}))
    assert "a marking down to 5 N·m: the lowest marking still caps it" in page


def test_rows_are_found_by_words_and_only_ours_is_a_filter(owner: Client) -> None:
    """chain 12 finds the chain of 12; only yours is empty until one is."""
    page = text(owner.get("/settings/limits/?find=chain+12"))
    assert f'href="{ROW}"' in page
    assert "no row has these words" in text(owner.get("/settings/limits/?ours=yes"))
    send(owner, f"{ROW}save/", "find-1", limit="0.45")
    assert f'href="{ROW}"' in text(owner.get("/settings/limits/?ours=yes"))


def test_an_unknown_row_or_table_is_said(owner: Client) -> None:
    """Also where the name comes from elsewhere."""
    assert owner.get("/settings/row/limit/no-such/").status_code == 404
    assert owner.get("/settings/row/person/1/").status_code == 404
