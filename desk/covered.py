"""How much of the program the tests run, by folder; arguments go to pytest. Commands that run by themselves count too.

From Python 3.12 on the interpreter itself says which lines ran, at next to no cost; the tracer of 3.11 doubles the time.
"""

import json
import subprocess
import sys
import tempfile
from collections import defaultdict
from pathlib import Path

import launch

SOURCE = launch.ROOT / "src" / "pinchbolt"
SETTINGS = """[run]
source = {source}
data_file = {folder}/data
parallel = true
patch = subprocess
branch = false
core = {core}
omit = */records/migrations/*
[report]
exclude_also =
    if TYPE_CHECKING:
"""


def by_folder(files: dict[str, dict[str, dict[str, int]]]) -> dict[str, tuple[int, int]]:
    """Statements and those of them that ran, of each folder two deep and of all."""
    sums: dict[str, list[int]] = defaultdict(lambda: [0, 0])
    for name, told in files.items():
        folder = "/".join((launch.ROOT / name).relative_to(SOURCE).parent.parts[:2]) or "."
        for key in (folder, "all"):
            sums[key][0] += told["summary"]["num_statements"]
            sums[key][1] += told["summary"]["covered_lines"]
    return {
        key: (counted[0], counted[1])
        for key, counted in sorted(sums.items(), key=lambda one: (one[0] == "all", one[0]))
    }


def main(arguments: list[str]) -> int:
    """Run the tests, put the answers of all processes together, print the table; the exit code is that of the tests."""
    with tempfile.TemporaryDirectory(prefix="pinchbolt-covered-") as name:
        folder = Path(name)
        settings = folder / "settings.ini"
        core = "sysmon" if sys.version_info >= (3, 12) else "ctrace"
        settings.write_text(SETTINGS.format(source=SOURCE, folder=folder, core=core), encoding="utf-8")
        tool, named = launch.python("-m", "coverage"), f"--rcfile={settings}"
        cores = [] if any(word.startswith("-n") for word in arguments) else ["-n", "2"]
        code = subprocess.call(
            [*tool, "run", named, "-m", "pytest", "-q", *cores, *arguments], cwd=launch.ROOT
        )
        subprocess.run([*tool, "combine", "--quiet", named], cwd=launch.ROOT, check=True)
        subprocess.run(
            [*tool, "json", "--quiet", named, "-o", str(folder / "told.json")], cwd=launch.ROOT, check=True
        )
        told = json.loads((folder / "told.json").read_text(encoding="utf-8"))
    launch.say(f"{'folder':24} {'statements':>10} {'run':>7} {'share':>7}")
    for where, (statements, ran) in by_folder(told["files"]).items():
        launch.say(f"{where:24} {statements:10} {ran:7} {100 * ran / max(statements, 1):6.1f}%")
    return code


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
