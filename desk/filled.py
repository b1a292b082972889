"""Writes down how the indexes of a grown home are filled: python -m desk.filled HOME, after `ratios.size` grew it."""

import argparse
from pathlib import Path

from ratios.size import opened

ROOT = Path(__file__).resolve().parents[1]

if __name__ == "__main__":
    asked = argparse.ArgumentParser(prog="filled", description=__doc__)
    asked.add_argument("home", type=Path)
    opened(asked.parse_args().home)
    from pinchbolt.records.filled import FILE, written_down

    (ROOT / "src" / "pinchbolt" / "records" / FILE).write_text(written_down(), encoding="utf-8")
