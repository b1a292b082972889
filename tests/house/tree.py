"""Is the tree clean? Hosts, paths of one machine, and files that hold two ideas. Run as a script it lists what is wrong."""

import re
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.house.source import ROOT, tracked

TEXT = set(".py .toml .md .html .css .js .typ .txt .lock .svg .yml .yaml .json .cfg .ini .sh".split())
LONGEST = 500
# A file above the mark needs a reason here, and leaves this list when it is short again.
LONG: dict[str, str] = {}

# Put together from pieces, so that this file is not its own first finding.
_HOSTS = re.compile(
    "|".join([r"pypi\.o" + "rg", "pythonhos" + "ted", r"registry\.n" + "pmjs", r"deb\.deb" + "ian"])
)
_LOCK_HOSTS = re.compile(r"[a-z]+://|--(?:extra-)?index-url|--find-links|--trusted-host", re.IGNORECASE)
_PATHS = re.compile(
    "|".join(
        [
            "/ro" + "ot/",
            "/ho" + r"me/\w",
            "/Us" + r"ers/\w",
            "/wo" + r"rk/(?:main|shared|\.)",
            r"[A-Z]:\\Us" + "ers",
        ]
    )
)


def hosts_in_locks() -> list[str]:
    """Lines of lock files that name a host, so that they install from one place only."""
    return _lines(_LOCK_HOSTS, [path for path in tracked() if path.suffix == ".lock"])


def registry_hosts() -> list[str]:
    """Lines that name a package registry's host."""
    return _lines(_HOSTS, _texts())


def machine_paths() -> list[str]:
    """Lines that name a folder of one machine."""
    return _lines(_PATHS, _texts())


def long_files() -> list[str]:
    """Modules above the mark without a reason, and reasons without such a module."""
    lengths = {
        path.relative_to(ROOT).as_posix(): len(path.read_text(encoding="utf-8").splitlines())
        for path in tracked()
        if path.suffix == ".py" and "migrations" not in path.parts
    }
    over = [
        f"{name}: {length} lines, above {LONGEST}"
        for name, length in lengths.items()
        if length > LONGEST and name not in LONG
    ]
    stale = [
        f"{name}: on the list of long files, and short" for name in LONG if lengths.get(name, 0) <= LONGEST
    ]
    return over + stale


CHECKS = (hosts_in_locks, registry_hosts, machine_paths, long_files)


def _texts() -> list[Path]:
    return [path for path in tracked() if path.suffix in TEXT or path.name in ("Makefile", "run")]


def _lines(pattern: re.Pattern[str], paths: list[Path]) -> list[str]:
    found = []
    for path in paths:
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1):
            if pattern.search(line):
                found.append(f"{path.relative_to(ROOT).as_posix()}:{number}: {line.strip()[:100]}")
    return found


def main() -> int:
    """Print every finding below the question that found it; 1 where there is any."""
    wrong = 0
    for check in CHECKS:
        findings = check()
        wrong += len(findings)
        if findings:
            print(f"{(check.__doc__ or '').splitlines()[0]}")
            print("".join(f"  {finding}\n" for finding in findings), end="")
    print(
        f"tree: {wrong} findings in {len(tracked())} files"
        if wrong
        else f"tree: clean, {len(tracked())} files"
    )
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
