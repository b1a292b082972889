"""The package as a shop gets it: sdist and wheel built, the wheel installed where nothing else is, started, asked, stopped.

The wheel is built out of the sdist, so a file that the sdist lacks is missed here and not in a shop. Everything runs in a folder
far from the tree, without its source on the path. Versions are those of the lock.
"""

import json
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Mapping
from pathlib import Path

import launch
import pinchbolt
from tests.servers import GIVE_UP_S, answered, free_port


def built(folder: Path) -> Path:
    """Build sdist and wheel below *folder*; return the wheel."""
    uv = [
        launch.inside("uv"),
        "build",
        "--quiet",
        "--no-build-isolation",
        "--python",
        launch.inside("python"),
    ]
    _well([*uv, "--out-dir", str(folder)], launch.ROOT, "the package was not built")
    wheels, archives = list(folder.glob("*.whl")), list(folder.glob("*.tar.gz"))
    version = pinchbolt.__version__
    if [path.name for path in archives] != [f"pinchbolt-{version}.tar.gz"] or len(wheels) != 1:
        raise launch.Refused(
            f"built {sorted(path.name for path in folder.iterdir())}: not the two files of {version}."
        )
    launch.say(f"built: {archives[0].name} ({_kb(archives[0])}), {wheels[0].name} ({_kb(wheels[0])})")
    return wheels[0]


def installed(wheel: Path, folder: Path) -> Path:
    """Install *wheel* in an environment that holds nothing else; return its pinchbolt command."""
    venv = folder / "empty"
    uv = launch.inside("uv")
    _well(
        [uv, "venv", "--quiet", "--python", sys.executable, str(venv)],
        folder,
        "no empty environment was made",
    )
    programs = venv / ("Scripts" if launch.WINDOWS else "bin")
    lock = ["--constraint", str(launch.ROOT / launch.LOCKS["run"])]
    install = [uv, "pip", "install", "--quiet", "--python", str(programs / "python"), *lock, str(wheel)]
    # uv does not read pip's own settings (a mirror, say): pip has the last word.
    if subprocess.call(install, cwd=folder):
        pip = [sys.executable, "-m", "pip", "--python", str(programs / "python"), "install", "--quiet", *lock]
        _well([*pip, str(wheel)], folder, "the wheel was not installed")
    return programs / ("pinchbolt.exe" if launch.WINDOWS else "pinchbolt")


def surroundings(home: Path) -> dict[str, str]:
    """What a shop's own shell has: nothing of this project, and a home folder that is new."""
    kept = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith(("PYTHON", "PINCHBOLT", "DJANGO"))
    }
    return {**kept, "PINCHBOLT_HOME": str(home)}


def started(command: Path, folder: Path) -> None:
    """Ask its version and its doctor, put it on a port, fetch the first page, and stop it."""
    around = surroundings(folder / "home")
    said = subprocess.run(
        [command, "--version"], cwd=folder, env=around, capture_output=True, text=True, check=False
    )
    if said.stdout.strip() != f"pinchbolt {pinchbolt.__version__}":
        raise launch.Refused(
            f"pinchbolt --version says {said.stdout or said.stderr!r}, not {pinchbolt.__version__}."
        )
    _opened(command, folder, around)
    port = free_port()
    log = folder / "server.log"
    with (
        log.open("w") as out,
        subprocess.Popen(
            [command, "serve", "--port", str(port)], cwd=folder, env=around, stdout=out, stderr=out
        ) as server,
    ):
        try:
            page = _page(f"http://127.0.0.1:{port}/sign-in/", server, log)
        finally:
            server.terminate()
            server.wait(GIVE_UP_S)
    if "Rosa Tindle" not in page or server.returncode:
        raise launch.Refused(
            f"The server answered {len(page)} letters and ended with {server.returncode}:\n{log.read_text()}"
        )
    _doctor_is_well(command, folder, around)
    launch.say(f"started: version, page ({len(page)} letters), stopped when told, doctor well")


def _opened(command: Path, folder: Path, around: Mapping[str, str]) -> None:
    """Open a workshop as a shop would, by the command line."""
    (folder / "words").write_text("four plain words here", encoding="utf-8")
    words = [
        "--name",
        "Tollgate Bench",
        "--person",
        "Rosa Tindle",
        "--labour",
        "54",
        "--passphrase-file",
        "words",
    ]
    _well([str(command), "open", *words], folder, "no workshop was opened", dict(around))


def _doctor_is_well(command: Path, folder: Path, around: Mapping[str, str]) -> None:
    """Everything, in a workshop that was just opened; whether the server came to its first copy before it was stopped is left open."""
    told = subprocess.run(
        [command, "doctor", "--json"], cwd=folder, env=around, capture_output=True, text=True, check=False
    )
    checks = json.loads(told.stdout or "{}").get("checks", [])
    bad = [f"{one['what']}: {one['words']}" for one in checks if not one["good"] and one["what"] != "backup"]
    if bad or not checks:
        raise launch.Refused(f"the doctor found a fault: {'; '.join(bad) or told.stderr}")


def _page(address: str, server: "subprocess.Popen[bytes]", log: Path) -> str:
    """The first page, once it is there."""
    page = answered(address, lambda: server.poll() is None)
    if not page:
        raise launch.Refused(f"The server gave no page:\n{log.read_text()}")
    return page.decode()


def _well(command: list[str], folder: Path, otherwise: str, around: dict[str, str] | None = None) -> None:
    told = subprocess.run(
        command, cwd=folder, env=around, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, check=False
    )
    if told.returncode:
        raise launch.Refused(f"{otherwise}:\n{told.stdout.decode('utf-8', 'replace')[-3000:]}")


def _kb(path: Path) -> str:
    return f"{path.stat().st_size / 1000:.0f} kB"


def main() -> int:
    """Build, install, start; the two files stay in dist/."""
    with tempfile.TemporaryDirectory(prefix="pinchbolt-package-") as name:
        folder = Path(name)
        (folder / "made").mkdir()
        wheel = built(folder / "made")
        started(installed(wheel, folder), folder)
        dist = launch.ROOT / "dist"
        shutil.rmtree(dist, ignore_errors=True)
        shutil.copytree(folder / "made", dist)
    launch.say("package: wheel and sdist are in dist/")
    return 0


if __name__ == "__main__":
    try:
        sys.exit(main())
    except launch.Refused as refusal:
        sys.exit(str(refusal))
