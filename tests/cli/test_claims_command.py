"""Warranties and claims on the command line: people and programs read the same."""

from pathlib import Path

from pinchbolt.records.models import Tool
from tests.cli.conftest import Run
from tests.story import Story
from tests.workshop.proof.test_markings_by_photo import shot


def test_a_claim_is_opened_moved_printed_and_taken_back(arrived: Story, run: Run, tmp_path: Path) -> None:
    """Each step says how it stands; the sheet goes into a file; a tool is off the board meanwhile."""
    tool = str(Tool.objects.order_by("pk")[0].pk)
    assert run("claim", "list").out.strip() == "No claim."
    opened = run("claim", "open", "tool", tool, "the ratchet slips", "--as", "ines", "--json").json
    number = str(opened["id"])
    assert not Tool.objects.get(pk=tool).in_use
    assert "sent, ask again" in run("claim", "move", number, "sent", "--words", "by post", "--as", "ines").out
    assert run("claim", "list", "--json").json[0]["id"] == opened["id"]
    told = run("claim", "sheet", number).out
    assert "the ratchet slips" in told and "nothing is known of how it was bought" in told
    assert run("claim", "sheet", number, "--out", str(tmp_path / "claim.pdf")).code == 0
    assert (tmp_path / "claim.pdf").read_bytes().startswith(b"%PDF")
    for _ in range(2):
        assert run("claim", "back", number, "--as", "ines").code == 0
    assert Tool.objects.get(pk=tool).in_use and run("claim", "sheet", number).code == 2


def test_a_warranty_is_said_with_its_receipt(arrived: Story, run: Run, tmp_path: Path) -> None:
    """What is left out is not known; a receipt that is no photo is refused whole."""
    tool = str(Tool.objects.order_by("pk")[0].pk)
    (tmp_path / "receipt.jpg").write_bytes(shot(300, 200))
    said = run(
        "warranty", "say", "tool", tool, "--months", "24", "--receipt", str(tmp_path / "receipt.jpg"), "--as", "ines", "--json",
    )  # fmt: skip
    assert said.json["photo"] and said.json["covered"] is None
    assert "24 months from a day that is not known" in run("warranty", "list").out
    (tmp_path / "receipt.pdf").write_bytes(b"%PDF-1.7")
    refused = run("warranty", "say", "tool", tool, "--receipt", str(tmp_path / "receipt.pdf"), "--as", "ines")
    assert refused.code == 2 and "That is a PDF" in refused.err
