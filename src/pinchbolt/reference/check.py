"""`python -m pinchbolt.reference.check [FOLDER]`: are the tables sound? Exit 1 with every fault where they are not.

FOLDER is a folder of the workshop's own tables, laid over the trade tables; what it changes is said line by line.
`--sums` prints the sums of every column of figures of the trade tables instead.
"""

import sys
from collections.abc import Sequence
from pathlib import Path

from pinchbolt.errors import InputRefused
from pinchbolt.reference.files import FILES
from pinchbolt.reference.loader import load
from pinchbolt.reference.sums import as_toml, column_sums

USAGE = "Write: python -m pinchbolt.reference.check [FOLDER | --sums]"


def main(words: Sequence[str]) -> int:
    """Check the tables and say what was found; 0 sound, 1 not, 2 not understood."""
    if len(words) > 1 or any(word.startswith("-") and word != "--sums" for word in words):
        sys.stderr.write(f'"{" ".join(words)}" is not understood: one folder, or --sums. {USAGE}\n')
        return 2
    folder = Path(words[0]) if words and words[0] != "--sums" else None
    try:
        tables = load(folder)
    except InputRefused as refused:
        sys.stderr.write(refused.sentence + "\n")
        return 1
    if "--sums" in words:
        sys.stdout.write(as_toml(column_sums(tables)))
        return 0
    for change in tables.overlaid:
        sys.stdout.write(change.words + "\n")
    rows = sum(1 for _ in tables.all_rows())
    sys.stdout.write(f"{len(FILES)} tables with {rows} rows are sound.\n")
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
