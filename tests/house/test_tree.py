"""The tree itself: no host in a lock, no path of one machine, no file that holds two ideas."""

import pytest

from tests.house import tree


@pytest.mark.parametrize("check", tree.CHECKS, ids=lambda check: check.__name__)
def test_the_tree_is_clean(check):
    """What `make check` asks of the tree, one question at a time."""
    assert check() == []


@pytest.mark.parametrize(
    ("pattern", "line", "found"),
    [
        (tree._LOCK_HOSTS, "--index-url somewhere", True),
        (tree._LOCK_HOSTS, "numpy @ file:///a/numpy.whl", True),
        (tree._LOCK_HOSTS, "    --hash=sha256:00aa", False),
        (tree._HOSTS, "see pypi" + ".org", True),
        (tree._PATHS, "open('/home" + "/ines/a')", True),
        (tree._PATHS, "C:\\Users" + "\\ines", True),
        (tree._PATHS, "/".join(("", "job", "3", "work", "torque", "")), False),
    ],
)
def test_the_questions_see_what_they_ask_for(pattern, line, found):
    """Each pattern is tried on a planted line, so that it can fail."""
    assert bool(pattern.search(line)) is found


def test_every_locked_package_has_a_hash():
    """A line that names a version is followed by its hashes, so that what is installed is what was locked."""
    for path in tree.tracked():
        if path.suffix != ".lock":
            continue
        lines = path.read_text(encoding="utf-8").splitlines()
        named = [number for number, line in enumerate(lines) if "==" in line.split("#")[0].split(";")[0]]
        assert named, path.name
        assert [lines[number] for number in named if "--hash=sha256:" not in lines[number + 1]] == []


def test_the_smaller_lock_is_inside_the_larger():
    """An environment made for the desk also serves the shop: same packages, same versions."""
    locked = {}
    for name in ("requirements.lock", "requirements-extras.lock", "requirements-dev.lock"):
        lines = (tree.ROOT / name).read_text(encoding="utf-8").splitlines()
        locked[name] = {
            line.split(";")[0].strip(" \\") for line in lines if line[:1].isalnum() and "==" in line
        }
    assert locked["requirements.lock"] < locked["requirements-extras.lock"] < locked["requirements-dev.lock"]
