"""Makes the tag of a release on this machine, when version, changelog and tree say the same. Nothing is pushed.

Before it: raise `__version__` in src/pinchbolt/__init__.py, give the changelog its head, `make gate`, commit. `--check` looks and
makes no tag.
"""

import re
import subprocess
import sys
from pathlib import Path

import launch

VERSION = re.compile(r"(\d+)\.(\d+)\.(\d+)")


def version_of(root: Path) -> str:
    """The version that the program states."""
    text = (root / "src" / "pinchbolt" / "__init__.py").read_text(encoding="utf-8")
    return text.split('__version__ = "')[1].split('"')[0]


def head_of(root: Path) -> tuple[str, str]:
    """Version and day of the changelog's newest head, such as ("0.2.0", "2026-11-28"); its day may be empty."""
    text = (root / "CHANGELOG.md").read_text(encoding="utf-8")
    found = re.search(r"^## ([^,\n]*)(?:, (\d{4}-\d\d-\d\d))?$", text, re.MULTILINE)
    return (found[1], found[2] or "") if found else ("", "")


def git(root: Path, *words: str) -> str:
    """What git answers."""
    return subprocess.run(
        ["git", *words], cwd=root, check=True, capture_output=True, text=True
    ).stdout.strip()


def tags(root: Path) -> list[tuple[int, ...]]:
    """Versions that have a tag, the newest first."""
    found = (VERSION.fullmatch(name[1:]) for name in git(root, "tag", "--list", "v*").split())
    return sorted((_numbers(match) for match in found if match), reverse=True)


def faults(root: Path) -> list[str]:
    """Why this is no release yet, a sentence each: what was found and what to do."""
    version, (head, day) = version_of(root), head_of(root)
    match = VERSION.fullmatch(version)
    if not match:
        return [
            f"The version is {version}: three numbers with points are needed, such as 1.4.0. Correct __version__."
        ]
    found = []
    newest = next(iter(tags(root)), None)
    if newest and _numbers(match) <= newest:
        last = ".".join(map(str, newest))
        found.append(
            f"The version is {version} and {last} is tagged already: raise __version__ above {last}."
        )
    if head != version:
        found.append(
            f"The changelog begins with {head or 'no head'}: its newest head must be {version}, with its day."
        )
    elif not day:
        found.append(f"The changelog's head {version} has no day: write it as '## {version}, 2026-11-28'.")
    if git(root, "status", "--porcelain"):
        found.append(
            "Files are changed and not committed: the tag would name another state. Commit them, or put them back."
        )
    return found


def _numbers(match: re.Match[str]) -> tuple[int, ...]:
    return tuple(int(number) for number in match.groups())


def main(arguments: list[str], root: Path = launch.ROOT) -> int:
    """Say what is wrong, or make the tag."""
    found = faults(root)
    for sentence in found:
        launch.say(sentence)
    if found:
        return 2
    version = version_of(root)
    if "--check" in arguments:
        launch.say(f"{version} can be tagged: version, changelog and tree agree.")
        return 0
    git(root, "tag", "--annotate", f"v{version}", "--message", f"pinchbolt {version}")
    launch.say(f"Tagged v{version} here; nothing was pushed. To take it back: git tag --delete v{version}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
