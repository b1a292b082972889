"""Draws all that people read with the translation of this process, and writes it down: run by test_in_brackets.py, in a process of its own."""

import json
import os
from collections.abc import Callable, Mapping
from pathlib import Path

from django.test import Client
from pypdf import PdfReader
from typer.testing import CliRunner

from pinchbolt.errors import PinchboltError
from pinchbolt.paper.render import SHEETS, bolt_round_sheet, hang_tag, home_tools_sheet, order_sheet, render
from pinchbolt.records.models import Bike, Instrument, Job, Owner, Part, Person, Tool, Workshop
from tests.bench.conftest import Cast
from tests.bench.pages import MORE, PAGES, filled
from tests.story import NOW

OUT = "PINCHBOLT_DRAWN"
# What a person typed, or a name: no translator's.
_DATA: Mapping[type, tuple[str, ...]] = {
    Owner: ("name", "phone", "reach", "note"),
    Bike: ("tag", "words", "frame_number"),
    Person: ("name", "sign_in"),
    Part: ("words", "marking"),
    Tool: ("name",),
    Instrument: ("name",),
    Job: ("owner_words", "seen_words", "left_with"),
    Workshop: ("name", "address", "town", "phone", "mail", "currency"),
}


def _text(pdf: bytes) -> str:
    from io import BytesIO

    return "\n".join(page.extract_text() for page in PdfReader(BytesIO(pdf)).pages)


def _data() -> list[str]:
    return [
        str(getattr(row, name))
        for kind, names in _DATA.items()
        for row in kind._default_manager.all()  # type: ignore[attr-defined]
        for name in names
        if getattr(row, name, "")
    ]


def _papers(cast: Cast) -> dict[str, str]:
    drawn: dict[str, Callable[[], bytes]] = {
        sheet: lambda sheet=sheet: render(sheet, cast.job, NOW)  # type: ignore[misc]
        for sheet in SHEETS
    }
    drawn |= {
        "bolt-round": lambda: bolt_round_sheet(cast.tag, "whole", NOW),
        "home-tools": lambda: home_tools_sheet(cast.tag, 8, NOW),
        "hang-tag": lambda: hang_tag(cast.tag, "http://192.168.1.20:8010"),
        "order-sheet": lambda: order_sheet("", NOW),
    }
    found = {}
    for name, draw in drawn.items():
        try:
            found[f"paper/{name}"] = _text(draw())
        except PinchboltError as refused:
            found[f"paper/{name}"] = refused.sentence
    return found


def _refusals(tablet: Client, cast: Cast) -> dict[str, str]:
    """What is said where nothing was filled in."""
    found = {}
    for route in PAGES:
        told = tablet.post(filled(route, cast), {"key": f"refused-{len(found):06}"})
        if told.status_code in (200, 403, 404, 405, 409, 422) and told.content:
            found[f"refused/{route}"] = told.content.decode(errors="ignore")
    return found


def _commands() -> dict[str, str]:
    from pinchbolt.cli.command_door import app

    found = {}
    for words in (
        ["--help"], ["check-in", "--help"], ["torque", "set", "--help"], ["wear", "--help"], ["kinds"], ["tables"], ["due"], ["day"],
        ["gears", "--rings", "50/34", "--sprockets", "11-13-15-18-21-24-28", "--tyre", "28-622"],
        ["chain-length", "--stay", "410", "--ring", "50", "--sprocket", "34"],
        ["fit", "find", "11 speed cassette on 10 speed body"],
    ):  # fmt: skip
        told = CliRunner().invoke(app, words)
        found[f"command/{' '.join(words)}"] = told.output
    return found


def test_all_that_people_read_is_drawn(on_the_sheet: Cast, signed_in: Callable[[Person], Client]) -> None:
    """Pages and sheets of the story, refusals, commands; and what of them is a name or somebody's own words."""
    tablet = signed_in(on_the_sheet.owner)
    told = {}
    for route in (*PAGES, *MORE):
        answer = tablet.get(filled(route, on_the_sheet), follow=True)
        if answer.status_code == 200 and answer["Content-Type"].startswith("text/html"):
            told[f"page/{route}"] = answer.content.decode()
    told |= _papers(on_the_sheet)
    told |= _commands()
    told |= _refusals(tablet, on_the_sheet)
    Path(os.environ[OUT]).write_text(json.dumps({"data": _data(), "told": told}), encoding="utf-8")
    assert {name.partition("/")[0] for name in told} == {"page", "paper", "command", "refused"}
