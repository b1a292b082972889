"""`make release` tags one version once, and only where version, changelog and tree agree."""

import subprocess
from pathlib import Path

import pytest

from desk import release


@pytest.fixture
def project(tmp_path: Path) -> Path:
    """A small project of version 1.4.0 with everything committed."""
    (tmp_path / "src" / "pinchbolt").mkdir(parents=True)
    _write(tmp_path, "1.4.0", "## 1.4.0, 2026-11-28")
    _git(tmp_path, "init", "--quiet")
    _commit(tmp_path)
    return tmp_path


def _write(root: Path, version: str, head: str) -> None:
    (root / "src" / "pinchbolt" / "__init__.py").write_text(f'"""Doc."""\n\n__version__ = "{version}"\n')
    (root / "CHANGELOG.md").write_text(f"# What is new\n\n{head}\n\nBetter.\n\n## 1.3.0, 2026-10-01\n")


def _git(root: Path, *words: str) -> str:
    named = ["-c", "user.name=A Desk", "-c", "user.email=desk@example.org"]
    return subprocess.check_output(["git", *named, *words], cwd=root, text=True)


def _commit(root: Path) -> None:
    _git(root, "add", ".")
    _git(root, "commit", "--quiet", "--message", "as it stands")


@pytest.fixture(autouse=True)
def somebody(monkeypatch: pytest.MonkeyPatch) -> None:
    """A tag carries a name; this machine may have none."""
    for who in ("AUTHOR", "COMMITTER"):
        monkeypatch.setenv(f"GIT_{who}_NAME", "A Desk")
        monkeypatch.setenv(f"GIT_{who}_EMAIL", "desk@example.org")


def test_a_release_is_tagged_here_and_pushed_nowhere(
    project: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The tag names the commit; there is no remote, so nothing could have gone anywhere."""
    assert release.main([], project) == 0
    assert _git(project, "tag").split() == ["v1.4.0"]
    assert _git(project, "rev-parse", "v1.4.0^{commit}") == _git(project, "rev-parse", "HEAD")
    assert "nothing was pushed" in capsys.readouterr().out


def test_a_check_makes_no_tag(project: Path) -> None:
    """Looking is not doing."""
    assert release.main(["--check"], project) == 0
    assert _git(project, "tag") == ""


def test_the_same_version_is_not_tagged_twice(project: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A second try says what to raise."""
    release.main([], project)
    assert release.main([], project) == 2
    assert (
        "The version is 1.4.0 and 1.4.0 is tagged already: raise __version__ above 1.4.0."
        in capsys.readouterr().out
    )


def test_versions_are_numbers_not_letters(project: Path) -> None:
    """1.10.0 comes after 1.9.0, whatever the alphabet says."""
    _git(project, "tag", "v1.9.0")
    _write(project, "1.10.0", "## 1.10.0, 2026-11-28")
    _commit(project)
    assert release.faults(project) == []


@pytest.mark.parametrize(
    ("version", "head", "sentence"),
    [
        (
            "1.5.0",
            "## 1.4.0, 2026-11-28",
            "The changelog begins with 1.4.0: its newest head must be 1.5.0, with its day.",
        ),
        ("1.5.0", "## 1.5.0", "The changelog's head 1.5.0 has no day: write it as '## 1.5.0, 2026-11-28'."),
        (
            "1.5",
            "## 1.5, 2026-11-28",
            "The version is 1.5: three numbers with points are needed, such as 1.4.0. Correct __version__.",
        ),
    ],
)
def test_what_disagrees_is_said_with_what_to_do(
    project: Path, version: str, head: str, sentence: str
) -> None:
    """Each fault is one sentence."""
    _write(project, version, head)
    _commit(project)
    assert release.faults(project) == [sentence]


def test_a_tree_with_changes_is_not_tagged(project: Path) -> None:
    """The tag would name something that nobody has tried."""
    (project / "CHANGELOG.md").write_text("# What is new\n\n## 1.4.0, 2026-11-28\n\nEven better.\n")
    assert release.faults(project) == [
        "Files are changed and not committed: the tag would name another state. Commit them, or put them back."
    ]


def test_this_project_states_one_version() -> None:
    """Program and changelog say the same at any time, so that a release is one command."""
    root = Path(__file__).resolve().parents[2]
    assert release.head_of(root)[0] == release.version_of(root)
