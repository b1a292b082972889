"""Eight bikes and what a mechanic asks of each, as they were written down before the program was asked."""

import tomllib
from pathlib import Path
from typing import Any

TOLD = tomllib.loads(Path(__file__).with_name("signoff_of_bikes.toml").read_text(encoding="utf-8"))
BIKES: dict[str, dict[str, Any]] = {bike["id"]: bike for bike in TOLD["bike"]}
# Signed when the bike is handed over: on the list of no bike before.
AT_HANDOVER = "so-declined"


def asked(name: str) -> set[str]:
    """What a mechanic asks of it."""
    return {*TOLD["always"], *BIKES[name]["asks"]}
