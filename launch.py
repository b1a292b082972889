#!/usr/bin/env python3
"""One way in, for the shop and for the desk: makes the environment once, then runs what was asked.

    python3 launch.py run             open the bench book on this machine
    python3 launch.py help            everything else

Only the standard library is used, and no syntax that Python 3.6 cannot read, so that an old Python gets a sentence.
"""

import glob
import hashlib
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent
# Another Python gets an environment of its own beside the first (desk/pythons.py names it).
VENV = ROOT / os.environ.get("PINCHBOLT_VENV", ".venv")
STAMP = VENV / "made-from.json"
LOG = VENV / "install.log"
WINDOWS = os.name == "nt"
OLDEST, TOO_NEW, CALLED = (3, 11), (3, 14), "PINCHBOLT_CALLED"
# Each set holds all that the one before it holds: an environment made for more serves for less.
LOCKS = {"run": "requirements.lock", "extras": "requirements-extras.lock", "dev": "requirements-dev.lock"}
KINDS = list(LOCKS)


class Refused(Exception):
    """Said to the person at the keyboard; the launcher stops with exit code 2."""


def say(words: str) -> None:
    """Print at once, so that order holds beside what other programs print."""
    print(words, flush=True)


# --- Python -----------------------------------------------------------------------------------------------------------


def fits(version: tuple) -> bool:
    """Return whether this Python can run pinchbolt."""
    return OLDEST <= tuple(version[:2]) < TOO_NEW


def pythons() -> dict:
    """Return a command for each fitting Python of this machine that was seen to run, by version, the newest first."""
    found = {}
    for minor in range(TOO_NEW[1] - 1, OLDEST[1] - 1, -1):
        command = next((words for words in candidates(minor) if answers(words, minor)), None)
        if command:
            found[f"3.{minor}"] = command
    return found


def candidates(minor: int) -> list:
    """Return commands that may be this Python: those on the path, and those that a version manager keeps aside."""
    name = f"python3.{minor}"
    on_path = [shutil.which(name, path=folder) for folder in os.environ.get("PATH", "").split(os.pathsep)]
    # A version manager's program on the path answers only for the version that is chosen.
    kept = os.environ.get("PYENV_ROOT") or os.path.expanduser("~/.pyenv")
    aside = sorted(glob.glob(os.path.join(kept, "versions", f"3.{minor}.*", "bin", name)), reverse=True)
    by_launcher = [["py", f"-3.{minor}"]] if WINDOWS and shutil.which("py") else []
    return [[path] for path in [*on_path, *aside] if path] + by_launcher


def answers(command: list, minor: int) -> bool:
    """Return whether this command runs, is that version, and can make environments."""
    asked = [*command, "-c", "import sys, venv, ensurepip; print(sys.version_info[1])"]
    try:
        told = subprocess.run(asked, check=False, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)
    except OSError:
        return False
    return told.returncode == 0 and told.stdout.strip() == str(minor).encode()


def old_python_sentence(version: tuple) -> str:
    """Return what is said to somebody whose Python is too old or too new."""
    return (
        f"This is Python {version[0]}.{version[1]}: pinchbolt needs 3.{OLDEST[1]} to 3.{TOO_NEW[1] - 1}. Install one of "
        "these, then start again."
    )


# --- the environment --------------------------------------------------------------------------------------------------


def inside(name: str) -> str:
    """Return the path of a program of the environment."""
    return str(VENV / ("Scripts" if WINDOWS else "bin") / (name + (".exe" if WINDOWS else "")))


def wanted_stamp(kind: str) -> dict:
    """Return what an environment of this kind is made from: lock, project file, Python and place."""
    made = hashlib.sha256()
    for name in (LOCKS[kind], "pyproject.toml"):
        # Line ends do not count: a checkout on Windows is the same lock.
        made.update((ROOT / name).read_bytes().replace(b"\r\n", b"\n"))
    version = f"{sys.version_info[0]}.{sys.version_info[1]}"
    return {"kind": kind, "sha256": made.hexdigest(), "python": version, "place": str(ROOT)}


def present_stamp() -> dict:
    """Return what the environment was made from, or nothing."""
    try:
        found = json.loads(STAMP.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return found if isinstance(found, dict) and found.get("kind") in KINDS else {}


def kind_to_make(kind: str) -> str:
    """Return the larger of what is asked and what is there, so that a run never takes the tools away."""
    return max(kind, present_stamp().get("kind", kind), key=KINDS.index)


def ensure(kind: str) -> None:
    """Make the environment unless it is there, whole, and made from this very lock."""
    kind = kind_to_make(kind)
    wanted, present = wanted_stamp(kind), present_stamp()
    try:
        there = Path(inside("python")).exists()
    except PermissionError:
        hint = "Start pinchbolt as that user, or copy its folder to one of your own."
        raise Refused(f"The environment in {VENV} is another user's: out of reach. {hint}") from None
    if present == wanted and there:
        return
    ours = ROOT.resolve() in VENV.resolve().parents or present.get("place", str(ROOT)) == str(ROOT)
    if there and not ours:
        hint = "Name another folder in PINCHBOLT_VENV, or leave it out."
        raise Refused(f"The environment in {VENV} belongs to {present['place']}: it is left as it is. {hint}")
    started = time.monotonic()
    say("Making the environment in .venv (once; needs the network) ...")
    same_base = all(present.get(key) == wanted[key] for key in ("python", "place"))
    if VENV.exists() and not (same_base and there):
        shutil.rmtree(str(VENV))
    if not VENV.exists():
        make_venv()
    if STAMP.exists():
        STAMP.unlink()
    install(kind)
    STAMP.write_text(json.dumps(wanted), encoding="utf-8")
    say(f"The environment is ready ({time.monotonic() - started:.0f} s).")


def maker() -> str:
    """Return the Python that makes the environment: the system's own of this version where it can, else this one.

    Systems ship it built with profiles. What a version manager compiles without them answers a page a third later (docs/size.md).
    """
    own = f"/usr/bin/python3.{sys.version_info[1]}"
    return own if answers([own], sys.version_info[1]) else sys.executable


def make_venv() -> None:
    """Make an empty environment with pip in it."""
    command = [maker(), "-m", "venv", str(VENV)]
    made = subprocess.run(command, check=False, stdout=subprocess.PIPE, stderr=subprocess.STDOUT)
    if made.returncode:
        shutil.rmtree(str(VENV), ignore_errors=True)
        words = made.stdout.decode("utf-8", "replace").strip()
        hint = " On Debian: apt-get install python3-venv." if "ensurepip" in words else ""
        if "Permission denied" in words:
            hint = " Nothing can be written here: copy this folder to one of your own, and start it there."
        raise Refused(f"The environment was not made: Python's venv module failed.{hint}\n{words}")


def install(kind: str) -> None:
    """Install the locked packages, each checked by its hash, then this project beside them."""
    lock = ROOT / LOCKS[kind]
    fast = fetch_uv(lock)
    done = fast and logged(
        [inside("uv"), "pip", "sync", "--quiet", "--python", inside("python"), "--require-hashes", str(lock)]
    )
    # The fast way does not read pip's own settings (a mirror, say): pip has the last word.
    if not done and not logged(pip("install", "--require-hashes", "-r", str(lock))):
        raise Refused(why_not(LOG.read_text(encoding="utf-8", errors="replace")))
    if not logged(pip("install", "--no-deps", "--no-build-isolation", "-e", str(ROOT))):
        raise Refused(f"The packages are there, but pinchbolt itself was not installed. The log: {LOG}")


def fetch_uv(lock: Path) -> bool:
    """Install the locked uv, if it can be had here; return whether it can be used."""
    block = locked_block(lock.read_text(encoding="utf-8"), "uv")
    if not block:
        return False
    with tempfile.TemporaryDirectory() as folder:
        only = Path(folder) / "uv.txt"
        only.write_text(block, encoding="utf-8")
        had = logged(
            pip("install", "--no-deps", "--only-binary", ":all:", "--require-hashes", "-r", str(only))
        )
    return had and Path(inside("uv")).exists()


def locked_block(text: str, name: str) -> str:
    """Return the lines of one package from a lock file: its version and its hashes."""
    kept = []
    for line in text.splitlines():
        if line.startswith(name + "==") or (kept and kept[-1].endswith("\\")):
            kept.append(line)
    return "".join(line + "\n" for line in kept)


def pip(*arguments: str) -> list:
    """Return the command of the environment's pip, made to give up soon where there is no network."""
    quiet = ["--disable-pip-version-check", "--no-input", "--retries", "2", "--timeout", "20"]
    return [inside("python"), "-m", "pip", *arguments, *quiet]


def logged(command: list) -> bool:
    """Run *command* with all that it prints in the log; return whether it went well."""
    with LOG.open("a", encoding="utf-8") as log:
        log.write("$ " + " ".join(command) + "\n")
        log.flush()
        try:
            return subprocess.call(command, cwd=str(ROOT), stdout=log, stderr=subprocess.STDOUT) == 0
        except OSError as problem:
            log.write(f"{problem}\n")
            return False


def why_not(log: str) -> str:
    """Return in a sentence why packages could not be installed, as the log has it."""
    if re.search(r"do not match the hashes|hash mismatch", log, re.IGNORECASE):
        return (
            "A package is not the one that was locked: its hash differs, so nothing was installed from it. Try again; if it "
            f"stays so, tell whoever keeps this project. The log: {LOG}"
        )
    away = (
        r"name resolution|getaddrinfo|NewConnectionError|ConnectTimeout|Read timed out|Network is unreachable"
    )
    if re.search(away + r"|Connection refused|dns error|error sending request", log, re.IGNORECASE):
        return (
            "The package registry was not reached: the network is away, or a proxy is in between. The first start needs "
            f"it once; after that pinchbolt works without. Connect and start again. The log: {LOG}"
        )
    if "No space left" in log:
        return "The disk is full: the environment takes about 500 MB. Free some space and start again."
    return f"The packages were not installed. What was printed is in the log: {LOG}"


# --- commands ---------------------------------------------------------------------------------------------------------


def hand_over(command: list) -> int:
    """Become *command* where the system can, so that stopping it stops it; elsewhere run it and wait."""
    if not WINDOWS:
        sys.stdout.flush()
        os.execv(command[0], command)
    try:
        return subprocess.call(command)
    except KeyboardInterrupt:
        return 0


def call(command: list, **more: str) -> int:
    """Run *command* in the project's folder, all output shown.

    What Python compiles is kept inside the environment, also where the machine wants none kept: the tests start some hundred servers
    and commands, and compiling takes each of them more than a second.
    """
    left_out = ("PYTHONDONTWRITEBYTECODE", CALLED)
    around = {name: value for name, value in os.environ.items() if name not in left_out}
    around["PYTHONPYCACHEPREFIX"] = str(VENV / "compiled")
    return subprocess.call(command, cwd=str(ROOT), env={**around, **more})


def python(*arguments: str) -> list:
    """Return a command for the environment's Python."""
    return [inside("python"), *arguments]


def run(arguments: list) -> int:
    """Open the bench book on this machine; arguments go to 'pinchbolt serve'."""
    ensure("run")
    return hand_over([inside("pinchbolt"), "serve", *arguments])


def pinchbolt(arguments: list) -> int:
    """Run any other pinchbolt command, such as 'pinchbolt --help'."""
    ensure("run")
    return hand_over([inside("pinchbolt"), *arguments])


def install_only(arguments: list) -> int:
    """Make the environment and stop; 'install extras' adds PostgreSQL, 'install dev' the tools."""
    kind = arguments[0] if arguments else "run"
    if kind not in KINDS:
        raise Refused(f"install {kind}: there are {', '.join(KINDS)}. Name one of them.")
    ensure(kind)
    return 0


def test(arguments: list) -> int:
    """Run the tests on two cores; arguments go to pytest. '--install-missing' installs Debian packages that lack."""
    ensure("dev")
    lacking = lacking_packages()
    if lacking and ("--install-missing" in arguments or os.environ.get("PINCHBOLT_INSTALL_MISSING")):
        apt_install(lacking)
        lacking = lacking_packages()
    if lacking:
        told = f"{' and '.join(lacking)} not found (on Debian: apt-get install {' '.join(lacking)}, as root)"
        if os.environ.get("CI") == "true":
            raise Refused(
                f"The browser, paper and PostgreSQL tests cannot run: {told}. A full run needs them."
            )
        say(f"Skipped: tests that need what is not here: {told}.")
    words = [word for word in arguments if word != "--install-missing"]
    cores = [] if any(word.startswith("-n") for word in words) else ["-n", "2"]
    return call(python("-m", "pytest", *cores, *words))


def lacking_packages() -> list:
    """Return the Debian packages that the browser, paper and PostgreSQL tests need and that are not here."""
    # The first is Chromium without windows: the tests take a third less time in it.
    browsers = ("chromium-headless-shell", "chromium", "chromium-browser")
    needs = {
        browsers[0]: any(shutil.which(name) for name in browsers),
        "poppler-utils": shutil.which("pdftoppm"),
        "postgresql": shutil.which("initdb") or glob.glob("/usr/lib/postgresql/*/bin/initdb"),
    }
    return [package for package, found in needs.items() if not found]


def apt_install(packages: list) -> None:
    """Install Debian packages, as was asked; what apt says is shown where it fails."""
    if not shutil.which("apt-get") or not hasattr(os, "geteuid") or os.geteuid() != 0:
        raise Refused(f"{' and '.join(packages)}: not installed, for that needs Debian's apt-get, as root.")
    say(f"Installing Debian's {' and '.join(packages)}, as asked ...")
    for words in (["update"], ["install", "-y", "--no-install-recommends", *packages]):
        told = subprocess.run(
            ["apt-get", "-qq", *words],
            check=False,
            env=dict(os.environ, DEBIAN_FRONTEND="noninteractive"),
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
        )
        if told.returncode:
            say(told.stdout.decode("utf-8", "replace")[-2000:])


def check(arguments: list) -> int:
    """Lint, format, types, import rules, tables and the tree itself; every finding is shown."""
    ensure("dev")
    steps = {
        "lint": python("-m", "ruff", "check", "."),
        "format": python("-m", "ruff", "format", "--check", "."),
        "types": python("-m", "mypy"),
        "import rules": [inside("lint-imports"), "--no-cache"],
        "tables": python("-m", "pinchbolt.reference.check"),
        "tree": python("tests/house/tree.py"),
    }
    failed = []
    for name, command in steps.items():
        say(f"--- {name}")
        if call(command, PINCHBOLT_HOME=str(VENV / "home-of-checks")):
            failed.append(name)
    say(f"check: failed: {', '.join(failed)}" if failed else f"check: all {len(steps)} passed")
    return 1 if failed else 0


def lock(arguments: list) -> int:
    """Write the lock files anew from pyproject.toml; '--upgrade' takes the newest versions."""
    ensure("run")
    base = [
        inside("uv"),
        "pip",
        "compile",
        "pyproject.toml",
        "--quiet",
        "--universal",
        "--python-version",
        "3.11",
    ]
    base += ["--generate-hashes", "--no-header", "--group", "install"]
    extras = ["--all-extras", "--constraints", LOCKS["run"]]
    more = {"run": [], "extras": extras, "dev": [*extras, "--group", "dev"]}
    for kind, words in more.items():
        code = call([*base, *words, *arguments, "--output-file", LOCKS[kind]])
        if code:
            return code
        text = (ROOT / LOCKS[kind]).read_text(encoding="utf-8")
        say(f"{LOCKS[kind]}: {len(re.findall(r'^[^ #]+==', text, re.MULTILINE))} packages")
    return call(python("tests/house/tree.py"))


def tidy(arguments: list) -> int:
    """Format the code and mend what the linter can mend."""
    ensure("dev")
    return call(python("-m", "ruff", "check", "--fix", "--quiet", ".")) | call(
        python("-m", "ruff", "format", ".")
    )


def pictures(arguments: list) -> int:
    """Make the pictures of the documentation from the running demo."""
    return run_folder("docs/pictures", arguments)


def ratios(arguments: list) -> int:
    """Measure: every file of ratios/ compares two ways in one run and prints how many times faster."""
    return run_folder("ratios", arguments)


def run_folder(folder: str, arguments: list) -> int:
    """Run the scripts of *folder* in order of their names, or those named."""
    ensure("dev")
    scripts = sorted(path for path in (ROOT / folder).glob("*.py") if not path.name.startswith("_"))
    if arguments:
        scripts = [path for path in scripts if path.stem in arguments]
    if not scripts:
        raise Refused(f"{folder} holds no script{' of that name' if arguments else ''}.")
    return max(call(python(str(path)), PYTHONPATH=str(ROOT)) for path in scripts)


# Scripts of the desk, each a command of its own: name, file, and the line that the list shows.
SCRIPTS = (ROOT / "desk" / "commands.txt").read_text(encoding="utf-8")


def script(path: str, words: str):
    """Return a command that runs a script of the project in the desk's environment, with *words* for the list."""

    def command(arguments: list) -> int:
        ensure("dev")
        return call(python(path, *arguments), PYTHONPATH=str(ROOT))

    command.__doc__ = words
    return command


def clean(arguments: list) -> int:
    """Take away the environment and all caches; bikes and readings are not touched."""
    names = ".venv* .mypy_cache .ruff_cache .pytest_cache .hypothesis .import_linter_cache build dist".split()
    for path in [path for name in names for path in ROOT.glob(name)]:
        shutil.rmtree(str(path), ignore_errors=True)
    for folder in ("src", "tests", "ratios"):
        for path in list((ROOT / folder).rglob("__pycache__")):
            shutil.rmtree(str(path), ignore_errors=True)
    say("Clean: the next start makes the environment anew.")
    return 0


def show_help(arguments: list) -> int:
    """Show this list."""
    say("python3 launch.py COMMAND [arguments]\n")
    for name, command in COMMANDS.items():
        say(f"  {name:12} {(command.__doc__ or '').splitlines()[0]}")
    return 0


COMMANDS = {
    "run": run,
    "pinchbolt": pinchbolt,
    "install": install_only,
    "test": test,
    "check": check,
    "format": tidy,
    "lock": lock,
    "pictures": pictures,
    "ratios": ratios,
    **{
        name: script(path, words)
        for name, path, words in (line.split(None, 2) for line in SCRIPTS.split("\n") if line)
    },
    "clean": clean,
    "help": show_help,
}


def main(words: list) -> int:
    """Run the command that was asked; without one, show the list."""
    # pinchbolt prints its commands with the words by which it was called; another Python that takes over says the same.
    typed = f'"{sys.argv[0]}"' if " " in sys.argv[0] else sys.argv[0]
    os.environ.setdefault(CALLED, f"{'py' if WINDOWS else 'python3'} {typed} pinchbolt")
    name = "help" if not words or words[0] in ("-h", "--help") else words[0]
    try:
        if name not in COMMANDS:
            raise Refused(f"{name} is no command: there are {', '.join(COMMANDS)}.")
        if name not in ("help", "clean") and not fits(sys.version_info):
            others = list(pythons().values())
            if not others:
                raise Refused(old_python_sentence(sys.version_info))
            return subprocess.call([*others[0], str(Path(__file__).resolve()), *words])
        return COMMANDS[name](words[1:])
    except Refused as refusal:
        print(str(refusal), file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        return 130


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
