"""Run slowflight from a fresh copy of the repository.

``python3 start.py lift-curve ...`` runs the command line, ``python3 start.py check`` every check of the code.

Needs nothing but Python 3.11 or newer. It makes a virtual environment in ``.venv`` beside this file, installs
slowflight there with the versions pinned in ``constraints.txt`` (again only when that file or
``pyproject.toml`` changes), and runs there what was asked. Annotations are quoted so that an older Python
gets far enough to be told that it is too old.
"""

import hashlib
import importlib.util
import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent
ENVIRONMENT = ROOT / ".venv"
STAMP = ENVIRONMENT / "slowflight-installed.json"
CONSTRAINTS = ROOT / "constraints.txt"
OLDEST_PYTHON = (3, 11)
EXTRAS_TO_RUN = ("layout", "report", "solids", "web")
EXTRAS_TO_CHECK = (*EXTRAS_TO_RUN, "dev", "docs")
BUILD_TOOLS = ("hatchling", "editables")


class CannotStart(Exception):
    """There is no way to go on; the message is one line that says what to do."""


def main(asked: "list[str]") -> int:
    """Install what is missing, then run what was asked; returns the exit code."""
    try:
        refuse_old_python()
        checking = asked[:1] == ["check"]
        install(EXTRAS_TO_CHECK if checking else EXTRAS_TO_RUN)
    except CannotStart as problem:
        say(str(problem))
        return 2
    except KeyboardInterrupt:
        say("interrupted; run the same command again to go on")
        return 130
    if checking:
        return check()
    return run([str(environment_python()), "-m", "slowflight", *asked])


def refuse_old_python() -> None:
    """Stop on a Python that cannot run slowflight."""
    if sys.version_info < OLDEST_PYTHON:
        found = ".".join(str(part) for part in sys.version_info[:3])
        needed = ".".join(str(part) for part in OLDEST_PYTHON)
        raise CannotStart(
            f"this is Python {found}; slowflight needs {needed} or newer, from python.org or your system"
        )


def make_environment() -> None:
    """Make the virtual environment, unless there is one that works."""
    if environment_python().exists() and quiet([str(environment_python()), "-m", "pip", "--version"]) is None:
        return
    if importlib.util.find_spec("venv") is None or importlib.util.find_spec("ensurepip") is None:
        install_venv_module()
    say(f"Making a virtual environment in {ENVIRONMENT.name} ...")
    problem = quiet([sys.executable, "-m", "venv", "--clear", str(ENVIRONMENT)])
    if problem is not None:
        raise CannotStart(f"could not make a virtual environment in {ENVIRONMENT}: {last_line(problem)}")


def install_venv_module() -> None:
    """Debian and its kin keep venv apart from Python: add it where that is allowed."""
    package = f"python{sys.version_info[0]}.{sys.version_info[1]}-venv"
    if shutil.which("apt-get") is None:
        raise CannotStart(
            "this Python lacks its modules venv and ensurepip; install a complete Python 3.11 or newer"
        )
    if os.geteuid() != 0:
        raise CannotStart(f"Python's venv module is missing; run: sudo apt-get install {package}")
    say(f"Python's venv module is missing: installing the system package {package} ...")
    environment = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    for command in (["apt-get", "update", "-qq"], ["apt-get", "install", "-y", "-qq", package]):
        problem = quiet(command, environment=environment)
        if problem is not None:
            raise CannotStart(f"'{' '.join(command)}' failed: {last_line(problem)}")


def install(extras: "tuple[str, ...]") -> None:
    """Install slowflight with pinned versions, unless this very state is installed already."""
    wanted = fingerprint()
    installed = read_stamp()
    known = installed.get("extras")
    every = sorted({*extras, *(known if isinstance(known, list) else ())})
    if installed.get("fingerprint") == wanted and every == known and environment_python().exists():
        return
    make_environment()
    STAMP.unlink(missing_ok=True)
    say("Installing slowflight and its libraries; this is needed once and takes a minute or two ...")
    pip = [
        str(environment_python()),
        "-m",
        "pip",
        "--disable-pip-version-check",
        "--no-input",
        "install",
        "--quiet",
    ]
    pip += ["--constraint", str(CONSTRAINTS)]
    target = str(ROOT) + (f"[{','.join(every)}]" if every else "")
    # The build tools come first and pinned, so that building does not fetch others on the side.
    for command in ([*pip, *BUILD_TOOLS], [*pip, "--no-build-isolation", "--editable", target]):
        problem = quiet(command)
        if problem is not None:
            print(problem, file=sys.stderr)
            raise CannotStart(f"installing failed ({last_line(problem)}); is this computer online?")
    STAMP.write_text(json.dumps({"fingerprint": wanted, "extras": every}), encoding="utf-8")


def fingerprint() -> str:
    """What the installation depends on, in one line of digits."""
    digest = hashlib.sha256()
    for path in (ROOT / "pyproject.toml", CONSTRAINTS):
        digest.update(path.read_bytes() + b"\0")
    digest.update(f"{ROOT}\0{sys.version}".encode())
    return digest.hexdigest()


def read_stamp() -> "dict[str, object]":
    """What was installed last; empty where nothing was or the note is damaged."""
    try:
        noted = json.loads(STAMP.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return noted if isinstance(noted, dict) else {}


def check() -> int:
    """Run every check, print how each went, and return the code of the first that failed."""
    python = str(environment_python())
    scripts = environment_python().parent
    workers = str(max(1, min(4, os.cpu_count() or 1)))
    built = str(ROOT / "build" / "docs")
    steps = {
        "lint": [python, "-m", "ruff", "check", "."],
        "format": [python, "-m", "ruff", "format", "--check", "."],
        "types": [python, "-m", "mypy"],
        "layers": [str(scripts / "lint-imports"), "--no-cache"],
        "documents": [python, "-m", "sphinx", "-W", "--keep-going", "--quiet", "docs", built],
        "tests": [python, "-m", "pytest", "--quiet", "--numprocesses", workers],
    }
    # One thread per worker, or the workers' own threads fight over the cores.
    environment = {**os.environ, "OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"}
    codes = {}
    for name, command in steps.items():
        print(f"== {name} ==", flush=True)
        codes[name] = subprocess.run(command, cwd=ROOT, env=environment, check=False).returncode
    print("== summary ==")
    for name, code in codes.items():
        print(f"{name}: {'good' if code == 0 else f'failed ({code})'}", flush=True)
    return next((code for code in codes.values() if code != 0), 0)


def run(command: "list[str]") -> int:
    """Hand over to the command, so that its exit code and Ctrl-C are its own."""
    if os.name == "posix":
        sys.stdout.flush()
        os.execv(command[0], command)
    with subprocess.Popen(command) as child:
        while True:
            try:
                return child.wait()
            except KeyboardInterrupt:
                continue  # the child was told too, and says itself how it ends


def environment_python() -> Path:
    """Where the environment's own Python is."""
    return ENVIRONMENT / ("Scripts/python.exe" if os.name == "nt" else "bin/python")


def quiet(command: "list[str]", environment: "dict[str, str] | None" = None) -> "str | None":
    """Run a command without showing what it says; returns that only where it fails."""
    try:
        done = subprocess.run(
            command, cwd=ROOT, env=environment, capture_output=True, text=True, errors="replace", check=False
        )
    except OSError as error:
        return str(error)
    return (
        None
        if done.returncode == 0
        else (done.stdout + done.stderr).strip() or f"exit code {done.returncode}"
    )


def last_line(text: str) -> str:
    """The last line of what a command said, where the reason usually stands."""
    return (text.strip().splitlines() or ["no reason given"])[-1].strip()


def say(message: str) -> None:
    """Tell the owner on standard error, so that results on standard output stay clean."""
    print(f"slowflight: {message}", file=sys.stderr, flush=True)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
