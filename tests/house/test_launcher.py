"""The launcher: an environment made once from hashed locks, and plain sentences where that is not possible."""

import json
import subprocess
import sys

import pytest

import launch
from tests.journeys.browser import PROGRAMS


@pytest.fixture(autouse=True)
def not_called(monkeypatch):
    """Whatever the launcher says of how it was called ends with the test."""
    monkeypatch.setenv(launch.CALLED, "")
    monkeypatch.delenv(launch.CALLED)


@pytest.fixture
def desk(tmp_path, monkeypatch):
    """A copy of the locks in an empty folder, with the launcher looking there."""
    for name in [*launch.LOCKS.values(), "pyproject.toml"]:
        (tmp_path / name).write_bytes((launch.ROOT / name).read_bytes())
    venv = tmp_path / ".venv"
    for name, value in {
        "ROOT": tmp_path,
        "VENV": venv,
        "STAMP": venv / launch.STAMP.name,
        "LOG": venv / launch.LOG.name,
    }.items():
        monkeypatch.setattr(launch, name, value)
    return tmp_path


@pytest.fixture
def steps(desk, monkeypatch):
    """What the launcher would do, written down instead of done."""
    done = []

    def make():
        done.append("venv")
        program = launch.VENV / ("Scripts" if launch.WINDOWS else "bin")
        program.mkdir(parents=True)
        (program / launch.Path(launch.inside("python")).name).touch()

    monkeypatch.setattr(launch, "make_venv", make)
    monkeypatch.setattr(launch, "install", done.append)
    return done


def test_the_environment_is_made_once(steps):
    """The second start finds the stamp of this very lock and does nothing."""
    launch.ensure("run")
    launch.ensure("run")
    assert steps == ["venv", "run"]


@pytest.mark.parametrize("there", [True, False])
def test_the_environment_is_made_by_the_systems_own_python_of_this_version(desk, monkeypatch, there):
    """It was built with profiles; where the system has none of this version, the one that was started makes it."""
    asked, own = [], f"/usr/bin/python3.{sys.version_info[1]}"

    def made(command, **around):
        asked.append(command)
        return subprocess.CompletedProcess(command, 0)

    monkeypatch.setattr(launch, "answers", lambda command, minor: there and command == [own])
    monkeypatch.setattr(launch.subprocess, "run", made)
    launch.make_venv()
    assert asked == [[own if there else sys.executable, "-m", "venv", str(launch.VENV)]]


def test_a_changed_lock_is_installed_into_the_same_environment(steps):
    """A new version in the lock: installed again, without making the environment anew."""
    launch.ensure("run")
    lock = launch.ROOT / "requirements.lock"
    lock.write_text(lock.read_text(encoding="utf-8") + "# changed\n", encoding="utf-8")
    launch.ensure("run")
    assert steps == ["venv", "run", "run"]


def test_line_ends_do_not_change_a_lock(steps):
    """A checkout with Windows line ends is the same lock."""
    launch.ensure("run")
    lock = launch.ROOT / "requirements.lock"
    lock.write_bytes(lock.read_bytes().replace(b"\n", b"\r\n"))
    launch.ensure("run")
    assert steps == ["venv", "run"]


def test_a_run_never_takes_the_tools_away(steps):
    """An environment made for the desk serves the shop; one made for the shop is filled up for the desk."""
    launch.ensure("run")
    launch.ensure("dev")
    launch.ensure("run")
    assert steps == ["venv", "run", "dev"]


def test_a_half_made_environment_is_made_anew(steps, monkeypatch):
    """Stopped in the middle there is no stamp, so nothing of it is trusted."""

    def stopped(kind):
        raise launch.Refused("stopped")

    with monkeypatch.context() as broken:
        broken.setattr(launch, "install", stopped)
        with pytest.raises(launch.Refused, match="stopped"):
            launch.ensure("run")
    launch.ensure("run")
    assert steps == ["venv", "venv", "run"]


def test_a_moved_folder_is_made_anew(steps):
    """Programs of an environment name its folder: after a move they would start the wrong one."""
    launch.ensure("run")
    stamp = json.loads(launch.STAMP.read_text(encoding="utf-8"))
    launch.STAMP.write_text(json.dumps({**stamp, "place": "elsewhere"}), encoding="utf-8")
    launch.ensure("run")
    assert steps == ["venv", "run", "venv", "run"]


def test_one_package_is_cut_from_a_lock_with_all_its_hashes():
    """The block ends where the next package begins; a name that only begins alike is another package."""
    lock = "uvicorn==1 \\\n    --hash=sha256:aa\nuv==2 \\\n    --hash=sha256:bb \\\n    --hash=sha256:cc\n    # via x\nz==3\n"
    assert launch.locked_block(lock, "uv") == "uv==2 \\\n    --hash=sha256:bb \\\n    --hash=sha256:cc\n"
    assert launch.locked_block(lock, "missing") == ""


def test_every_lock_holds_the_installer_and_the_builder():
    """Without these three an install would ask the network for something that nobody locked."""
    for name in launch.LOCKS.values():
        text = (launch.ROOT / name).read_text(encoding="utf-8")
        assert all(launch.locked_block(text, package) for package in ("uv", "hatchling", "editables")), name


@pytest.mark.parametrize(
    ("log", "sentence"),
    [
        ("Temporary failure in name resolution", "The package registry was not reached: the network is away"),
        ("error sending request for url", "The package registry was not reached: the network is away"),
        ("THESE PACKAGES DO NOT MATCH THE HASHES", "A package is not the one that was locked"),
        ("OSError: [Errno 28] No space left on device", "The disk is full"),
        ("something else", "The packages were not installed"),
    ],
)
def test_a_failed_install_is_said_in_a_sentence(log, sentence):
    """What pip printed becomes what is wrong and what to do next."""
    assert launch.why_not(log).startswith(sentence)


@pytest.mark.parametrize(
    ("version", "good"), [((3, 10), False), ((3, 11), True), ((3, 13), True), ((3, 14), False)]
)
def test_an_unfit_python_is_told_so(version, good):
    """3.11 to 3.13; for others the sentence names what is there and what is needed."""
    assert launch.fits(version) is good
    sentence = f"This is Python 3.{version[1]}: pinchbolt needs 3.11 to 3.13. Install one of these, then start again."
    assert launch.old_python_sentence(version) == sentence


def test_the_launcher_and_the_project_ask_for_the_same_python():
    """One range of versions, stated in pyproject.toml and read by pip; the launcher says the same."""
    text = (launch.ROOT / "pyproject.toml").read_text(encoding="utf-8")
    assert f'requires-python = ">=3.{launch.OLDEST[1]},<3.{launch.TOO_NEW[1]}"' in text


def test_a_command_that_is_not_there_is_refused_with_the_list():
    """Exit code 2, and the commands by name."""
    told = subprocess.run(
        [sys.executable, str(launch.ROOT / "launch.py"), "ride"], capture_output=True, text=True, check=False
    )
    assert told.returncode == 2
    assert told.stderr.startswith("ride is no command: there are run, ")


@pytest.fixture
def bare_machine(monkeypatch):
    """A machine without browser, poppler and PostgreSQL, on which each command is written down instead of run."""
    commands = []
    monkeypatch.setattr(launch, "ensure", lambda kind: None)
    monkeypatch.setattr(launch, "lacking_packages", lambda: ["chromium-headless-shell", "poppler-utils"])
    monkeypatch.setattr(launch, "apt_install", lambda packages: commands.append(["apt-get", *packages]))
    monkeypatch.setattr(launch, "call", lambda command, **more: commands.append(command[1:]) or 0)
    for name in ("CI", "PINCHBOLT_INSTALL_MISSING"):
        monkeypatch.delenv(name, raising=False)
    return commands


def test_nothing_is_installed_on_the_machine_unasked(bare_machine, capsys):
    """What lacks is named with the command for it, the tests that need it are left out, and the rest is run."""
    assert launch.test(["tests/values"]) == 0
    assert bare_machine == [["-m", "pytest", "-n", "2", "tests/values"]]
    assert (
        "on Debian: apt-get install chromium-headless-shell poppler-utils, as root" in capsys.readouterr().out
    )


@pytest.mark.parametrize("way", ["word", "environment"])
def test_what_lacks_is_installed_when_asked(bare_machine, monkeypatch, way):
    """By a word of the command, or by the environment for those who run it by a script; pytest never sees the word."""
    if way == "environment":
        monkeypatch.setenv("PINCHBOLT_INSTALL_MISSING", "1")
    launch.test(["--install-missing"] if way == "word" else [])
    assert bare_machine == [
        ["apt-get", "chromium-headless-shell", "poppler-utils"],
        ["-m", "pytest", "-n", "2"],
    ]


def test_the_gate_does_not_pass_without_what_it_needs(bare_machine, monkeypatch):
    """Under CI tests that were left out would look like tests that passed."""
    monkeypatch.setenv("CI", "true")
    with pytest.raises(
        launch.Refused, match="cannot run: chromium-headless-shell and poppler-utils not found"
    ):
        launch.test([])
    assert bare_machine == []


@pytest.mark.parametrize("browser", [*PROGRAMS, "none"])
def test_any_browser_of_the_journeys_will_do(monkeypatch, browser):
    """The one without windows is asked for only where none is here."""
    here = (browser, "pdftoppm", "initdb")
    monkeypatch.setattr(launch.shutil, "which", lambda name, **_: name if name in here else None)
    assert launch.lacking_packages() == ([PROGRAMS[0]] if browser == "none" else [])


def test_only_a_user_who_may_is_let_install(monkeypatch):
    """Somebody else is told so; no command is tried."""
    monkeypatch.setattr(launch.os, "geteuid", lambda: 1000, raising=False)
    with pytest.raises(
        launch.Refused,
        match="chromium-headless-shell: not installed, for that needs Debian's apt-get, as root",
    ):
        launch.apt_install(["chromium-headless-shell"])


def program(folder, name, version):
    """A program that answers as that Python would, or refuses as a version manager's stand-in does."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / name
    words = f"echo {version}" if version else f"echo '{name}: command not found' >&2; exit 127"
    path.write_text(f"#!/bin/sh\n{words}\n", encoding="utf-8")
    path.chmod(0o755)
    return str(path)


@pytest.mark.skipif(launch.WINDOWS, reason="programs of a shell")
def test_a_python_counts_that_runs(tmp_path, monkeypatch):
    """A stand-in on the path that answers nothing hides neither the next one on the path nor one that is kept aside."""
    program(tmp_path / "first", "python3.12", None)
    program(tmp_path / "first", "python3.13", None)
    behind = program(tmp_path / "second", "python3.12", 12)
    aside = program(tmp_path / "kept" / "versions" / "3.13.0" / "bin", "python3.13", 13)
    program(tmp_path / "second", "python3.11", 10)
    monkeypatch.setenv("PATH", launch.os.pathsep.join([str(tmp_path / "first"), str(tmp_path / "second")]))
    monkeypatch.setenv("PYENV_ROOT", str(tmp_path / "kept"))
    assert launch.pythons() == {"3.13": [aside], "3.12": [behind]}


def test_the_short_tests_of_other_pythons_are_there():
    """A folder that was moved would be missed on those Pythons without a word."""
    from desk import postgresql, pythons

    assert [name for name in (*pythons.SHORT, *postgresql.TESTS) if not (launch.ROOT / name).exists()] == []


def test_the_gate_takes_every_step_and_names_those_that_failed(monkeypatch, capsys):
    """One fault does not hide the next; the last line says which, and the exit code is 1."""
    from desk import gate

    taken = []

    def refuses():
        raise launch.Refused("no wheel")

    monkeypatch.setattr(
        gate,
        "steps",
        lambda arguments: {
            "check": lambda: taken.append("check") or 1,
            "package": refuses,
            "pythons": lambda: taken.append("pythons") or 0,
        },
    )
    assert gate.main([]) == 1
    assert taken == ["check", "pythons"]
    told = capsys.readouterr().out
    assert "no wheel" in told and told.endswith("gate: failed: check, package\n")


def test_every_target_of_make_is_a_command():
    """The Makefile calls the launcher and nothing else, and offers every command that takes no free arguments."""
    lines = (launch.ROOT / "Makefile").read_text(encoding="utf-8").splitlines()
    targets = [word for line in lines if line.startswith("TARGETS") for word in line.split("=")[1].split()]
    assert len(targets) == len(set(targets))
    assert set(targets) == set(launch.COMMANDS) - {"pinchbolt"}
    assert [line.strip() for line in lines if line.startswith("\t")] == ["@$(PYTHON) launch.py $@ $(ARGS)"]


def test_another_users_environment_is_said_and_never_removed(steps, monkeypatch):
    """Its Python can't be reached: a sentence with the next step, no traceback, and what is there stays."""
    launch.ensure("run")

    def out_of_reach(path):
        raise PermissionError(13, "Permission denied")

    with monkeypatch.context() as patched:
        patched.setattr(launch.Path, "exists", out_of_reach)
        with pytest.raises(launch.Refused, match=r"is another user's: .* Start pinchbolt as that user, or"):
            launch.ensure("run")
    assert launch.VENV.exists()


def test_another_checkouts_environment_is_said_and_never_removed(steps, monkeypatch, tmp_path):
    """Named by PINCHBOLT_VENV from a second checkout it would have been thrown away under whoever works with it."""
    other = tmp_path.with_name(f"{tmp_path.name}-other-checkout") / ".venv"
    monkeypatch.setattr(launch, "VENV", other)
    monkeypatch.setattr(launch, "STAMP", other / "made-from.json")
    launch.ensure("run")
    stamp = json.loads(launch.STAMP.read_text(encoding="utf-8"))
    launch.STAMP.write_text(json.dumps({**stamp, "place": str(other.parent)}), encoding="utf-8")
    with pytest.raises(
        launch.Refused, match=r"belongs to .*other-checkout: it is left as it is\. Name another"
    ):
        launch.ensure("run")
    assert steps == ["venv", "run"]
    assert launch.VENV.exists()


@pytest.mark.parametrize(
    ("called", "words"),
    [
        ("launch.py", "python3 launch.py pinchbolt"),
        ("/opt/the shop/launch.py", 'python3 "/opt/the shop/launch.py" pinchbolt'),
    ],
)
def test_the_program_is_told_how_it_was_called(steps, monkeypatch, called, words):
    """So that a command which it prints works where it is read; another Python that takes over says the same words."""
    told = []

    def become(*_):
        told.append(launch.os.environ[launch.CALLED])
        raise SystemExit

    monkeypatch.setattr(launch, "WINDOWS", False)
    monkeypatch.setattr(launch.sys, "argv", [called, "run"])
    monkeypatch.setattr(launch.os, "execv", become)
    for argv in ([called, "run"], ["/another/launch.py", "run"]):
        monkeypatch.setattr(launch.sys, "argv", argv)
        with pytest.raises(SystemExit):
            launch.main(["run"])
    assert told == [words, words]


def test_the_desk_is_not_told(steps, monkeypatch):
    """Tests and checks read sentences as they stand."""
    around = {}
    monkeypatch.setenv(launch.CALLED, "python3 launch.py pinchbolt")
    monkeypatch.setattr(launch.subprocess, "call", lambda *_, env, **__: around.update(env) or 0)
    launch.call(["anything"])
    assert launch.CALLED not in around
