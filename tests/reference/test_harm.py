"""Torn, hostile and missing files: refused with file and line, never a crash, never a table half read in silence."""

import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from pinchbolt.errors import InputRefused
from pinchbolt.reference import load, loader
from pinchbolt.reference.gather import gather

Shop = Callable[..., Path]
WHOLE = """# our limits
[[limit]]
id = "dish"
warn = 0.7
note = "as we build"

[[limit]]
id = "hub-feel"
sd = 0.4
"""


def test_a_torn_file_names_its_line(shop: Shop) -> None:
    """Power went while the file was written: line 5 stops in the middle of a text."""
    folder = shop(limits=WHOLE[: WHOLE.index(" we build")])
    with pytest.raises(
        InputRefused, match=r"limits\.toml, line 5 cannot be read \(.*\): TOML, and the whole file\. Correct"
    ):
        load(folder)


def test_a_file_torn_anywhere_is_read_or_refused(tmp_path: Path) -> None:
    """At every byte: either a refusal, or rows that were whole; nothing else is raised."""
    path = tmp_path / "limits.toml"
    refused = 0
    for length in range(len(WHOLE)):
        path.write_text(WHOLE[:length], encoding="utf-8")
        found = gather(tmp_path, needed=False)
        refused += bool(found.faults)
        assert found.faults or all(
            row.raw["id"] in ("dish", "hub-feel") or "id" not in row.raw
            for row in found.rows.get("limit", {}).values()
            if row.raw
        )
    assert refused > len(WHOLE) / 3


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"[[limit]]\nid = \"caf\xe9\"\n", "line 2 cannot be read: plain UTF-8 text"),
        (b"\n\n\xe9", "line 3 cannot be read: plain UTF-8 text"),
        (b"\x00\x01\x02", "line 1 cannot be read"),
        (b"\xff\xfe[\x00[\x00", "line 1 cannot be read: plain UTF-8 text"),
        (b"x = " + b"[" * 20_000, "cannot be read"),
        (b"limit = 3\n", 'field "limit" is not a list of rows: rows that begin with [[limit]]'),
        (b"limit = [1, 2]\n", "is not a list of rows"),
        (b"[[limit]]\nid = \"dish\"\nwarn = 1" + b"0" * 400 + b"\n", 'field "warn" is 1000'),
        (b"[[limit]]\nid = \"dish\"\nwarn = nan\n", 'field "warn" is nan: a number in mm'),
        (b"[[limit]]\nid = \"dish\"\nwarn = -inf\n", 'field "warn" is -inf: a number in mm'),
        (b"[[limit]]\nid = \"dish\"\nwarn = 1979-05-27\n", 'field "warn" is 1979-05-27: a number in mm'),
        (b"[[limit]]\nid = \"dish\"\nwarn = true\n", 'field "warn" is true: a number in mm'),
        (b"[[limit]]\nid = [1]\nwarn = 1\n", 'row "limit 1", field "id" is [1]: text in quotes'),
        (b"[[limit]]\nid = { a = 1 }\n", 'row "limit 1", field "id" is'),
        (b"[[limit]]\nid = \"dish\"\nnote = { a = 1 }\n", 'field "note" is'),
        (b"[[limit]]\nid = \"dish\"\nfrom_shop = true\n", 'field "from_shop" is not known here'),
    ],
)  # fmt: skip
def test_hostile_content_is_refused_in_a_sentence(tmp_path: Path, content: bytes, sentence: str) -> None:
    """Whatever a file holds, the answer is a sentence with the file's name."""
    (tmp_path / "limits.toml").write_bytes(content)
    with pytest.raises(InputRefused) as refused:
        load(tmp_path)
    assert sentence in refused.value.sentence
    assert "limits.toml" in refused.value.sentence


def test_a_file_that_is_too_big_is_not_read(tmp_path: Path) -> None:
    """Six megabytes are no table."""
    (tmp_path / "limits.toml").write_bytes(b"#" * 6_000_000)
    with pytest.raises(
        InputRefused, match=r"limits\.toml is over 5 MB: a table of a few hundred rows at most"
    ):
        load(tmp_path)


def test_a_file_that_cannot_be_opened_is_said(tmp_path: Path) -> None:
    """A folder in the place of a file, a link that leads nowhere: the workshop's rows are not left out in silence."""
    (tmp_path / "limits.toml").mkdir()
    os.symlink(tmp_path / "gone", tmp_path / "joints.toml")
    with pytest.raises(InputRefused) as refused:
        load(tmp_path)
    assert "limits.toml cannot be read (Is a directory)" in refused.value.sentence
    assert "joints.toml cannot be read (No such file or directory)" in refused.value.sentence


def test_a_folder_that_is_not_there_is_said(tmp_path: Path) -> None:
    """A slip in the setting would otherwise drop every row of the workshop's own."""
    with pytest.raises(
        InputRefused,
        match=r"does not exist: a folder with TOML tables is needed\. Make it, or name another one\.",
    ):
        load(tmp_path / "gone")


def test_trade_tables_that_are_not_whole_stop_the_start(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A missing file and a torn one: two sentences, and no false ones about rows that only seem to be missing."""
    trade = tmp_path / "tables"
    shutil.copytree(loader.TRADE_FOLDER, trade)
    (trade / "joints.toml").unlink()
    torn = (trade / "operations.toml").read_text(encoding="utf-8")
    (trade / "operations.toml").write_text(torn[: len(torn) // 2].rsplit('"', 1)[0], encoding="utf-8")
    monkeypatch.setattr(loader, "TRADE_FOLDER", trade)
    with pytest.raises(InputRefused) as refused:
        load()
    told = refused.value.errors
    assert told["joints.toml"] == "joints.toml is missing: the trade tables are whole or not used."
    assert len(told) == 2, told


def test_a_stranger_in_the_trade_folder_stops_the_start(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A table that no one line of the registry names is read by nobody: that is said."""
    trade = tmp_path / "tables"
    shutil.copytree(loader.TRADE_FOLDER, trade)
    (trade / "zzzzzzzzzz.toml").write_text("", encoding="utf-8")
    monkeypatch.setattr(loader, "TRADE_FOLDER", trade)
    with pytest.raises(
        InputRefused,
        match=r"zzzzzzzzzz\.toml is no table that is known here: the tables are bike-kinds\.toml",
    ):
        load()
