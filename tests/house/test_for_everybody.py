"""What somebody looks for first in a project: a licence that fits, what is new, how to report a hole."""

import re
from importlib import metadata

import pytest

import pinchbolt
from tests.house.source import ROOT

NEWS = ROOT / "CHANGELOG.md"
PARTS = ["Safety", "Added", "Changed", "Fixed", "Data"]
# States no licence to the installer; why it fits stands on the page.
SILENT = {"pysqlite3"}
# Words by which packages state a licence, and the name that docs/dependencies.md has for it.
STATED = {
    "MIT": r"\bMIT\b",
    "BSD": r"\bBSD\b|BSD-\d|\b0BSD\b",
    "Apache-2.0": r"Apache",
    "MPL-2.0": r"MPL-2\.0|Mozilla Public License 2\.0",
    "LGPL-3.0": r"LGPL-3\.0",
    "ISC": r"\bISC\b",
    "PSF": r"PSF-|Python Software Foundation",
    "ZPL": r"\bZPL\b|Zope Public License",
    "zlib": r"\bzlib\b",
    "CC0": r"CC0-1\.0",
}


def news() -> list[tuple[str, str]]:
    """Each release of the changelog, the newest first, with what it says."""
    pieces = re.split(r"^## (\d+\.\d+\.\d+)\b.*$", NEWS.read_text(encoding="utf-8"), flags=re.MULTILINE)
    return list(zip(pieces[1::2], pieces[2::2], strict=True))


@pytest.mark.parametrize("name", ["LICENSE", "CHANGELOG.md", "SECURITY.md", "README.md"])
def test_what_is_looked_for_first_is_there(name: str) -> None:
    """At the top of the tree, with something in it."""
    assert len((ROOT / name).read_text(encoding="utf-8")) > 500


def test_the_newest_release_of_the_changelog_is_this_one() -> None:
    """A version is raised together with what is said of it, and releases stand newest first, each once."""
    releases = [tuple(map(int, version.split("."))) for version, _ in news()]
    assert news()[0][0] == pinchbolt.__version__
    assert releases == sorted(set(releases), reverse=True)


def test_each_release_is_told_under_the_same_heads() -> None:
    """Safety first; a head without news is left out, and no other is made up."""
    for version, said in news():
        heads = re.findall(r"^### (.+)$", said, re.MULTILINE)
        assert heads and heads == [part for part in PARTS if part in heads], version


def test_a_home_of_the_release_before_is_kept_for_each_release_but_this() -> None:
    """What a release made must open with the next: its stored home lies in tests/harm."""
    for version, _ in news()[1:]:
        assert (ROOT / "tests" / "harm" / f"home-{version}.sqlite3.xz").exists(), version


def stated(package: str) -> str:
    """The licence as a package states it to the installer."""
    about = metadata.metadata(package)
    kinds = [line for line in about.get_all("Classifier") or () if line.startswith("License ::")]
    return " ".join([about.get("License-Expression") or "", (about.get("License") or "")[:200], *kinds])


@pytest.mark.parametrize("lock", ["requirements.lock", "requirements-extras.lock"])
def test_every_package_of_a_shop_has_a_licence_that_fits(lock: str) -> None:
    """Each one that is installed here states a licence that docs/dependencies.md tells of."""
    page = (
        (ROOT / "docs" / "dependencies.md")
        .read_text(encoding="utf-8")
        .partition("## The licence of pinchbolt")[2]
    )
    told = page.partition("## ")[0]
    locked = re.findall(r"^([A-Za-z0-9_.-]+)==", (ROOT / lock).read_text(encoding="utf-8"), re.MULTILINE)
    here = {one.metadata["Name"].lower().replace("_", "-") for one in metadata.distributions()}
    asked = sorted({name for name in locked if name.lower() in here} - SILENT)
    assert len(asked) > 25
    for package in asked:
        found = [name for name, pattern in STATED.items() if re.search(pattern, stated(package))]
        assert found, f"{package} states: {stated(package)[:80]}"
        assert [name for name in found if name not in told] == [], package
    assert [name for name in SILENT if name not in told] == []


def test_no_licence_that_would_bind_us_slips_through() -> None:
    """The question itself is tried: such a licence is none of those that fit, whatever else stands beside it."""
    for words in ("AGPL-3.0-only", "License :: OSI Approved :: GNU General Public License v3 (GPLv3)"):
        assert [name for name, pattern in STATED.items() if re.search(pattern, words)] == []


def test_the_typefaces_carry_their_licence() -> None:
    """Each folder of fonts has it beside them, and the package says which files hold licences."""
    fonts = {path.parent for suffix in ("*.otf", "*.ttf", "*.woff2") for path in (ROOT / "src").rglob(suffix)}
    assert fonts and [folder for folder in fonts if not (folder / "OFL.txt").exists()] == []
    others = {path.parent for path in (ROOT / "src").rglob("DejaVu*.ttf")}
    assert others and all((folder / "DejaVu-LICENCE.txt").exists() for folder in others)
    project = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    assert 'license = "Apache-2.0"' in project and "OFL.txt" in project and "DejaVu-LICENCE.txt" in project
    assert "Version 2.0, January 2004" in (ROOT / "LICENSE").read_text(encoding="utf-8")


def test_no_page_leads_to_a_page_that_is_not_there() -> None:
    """Every link of the pages to a file of the tree finds it."""
    lost = []
    pages = [*ROOT.glob("*.md"), *(ROOT / "docs").rglob("*.md"), *(ROOT / "tests").rglob("*.md")]
    for page in pages:
        for target in re.findall(r"\]\(([^)#\s]+)", page.read_text(encoding="utf-8")):
            if "://" not in target and not (page.parent / target).exists():
                lost.append(f"{page.relative_to(ROOT).as_posix()}: {target}")
    assert len(pages) > 15
    assert lost == []
