"""A maker's own copy of the notebooks, and JupyterLab opened on it."""

from __future__ import annotations

import errno
import hashlib
import importlib.util
import json
import os
import secrets
import socket
import subprocess
import sys
import time
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

from tablekit.engine.trouble import DesignError
from tablekit.packet.folder import ABANDONED, NEW, digest, write_file
from tablekit.shipped import notebooks_path

RECORD = ".tablekit-copies.json"  # what was put there, to tell a maker's changes from ours
_FIRST_PORT = 8888  # where JupyterLab is usually found


class OpenError(DesignError):
    """The notebooks cannot be opened."""

    exit_code = 2


@dataclass(frozen=True)
class Copied:
    """What became of each shipped file, by name relative to the folder."""

    written: tuple[str, ...]
    kept: tuple[str, ...]


def copy_notebooks(folder: Path, shipped: Path | None = None) -> Copied:
    """Put the shipped notebooks and briefs into `folder`; what the maker changed stays.

    A file is written when it is missing, or still as an earlier kit put it there. Raises
    OpenError when the folder cannot be written.
    """
    shipped = shipped or notebooks_path()
    try:
        return _copy(shipped, folder)
    except OSError as reason:
        why = reason.strerror or reason
        raise OpenError(f"{folder} cannot be written: {why}; choose another with --dir") from None


def _copy(shipped: Path, folder: Path) -> Copied:
    folder.mkdir(parents=True, exist_ok=True)
    record = _record(folder / RECORD)
    written, kept = [], []
    _tidy_up(folder)
    for source in sorted(path for path in shipped.rglob("*") if path.is_file()):
        name = source.relative_to(shipped).as_posix()
        if "__pycache__" in name or ".ipynb_checkpoints" in name:
            continue
        target, shipped_as = folder / name, source.read_bytes()
        data = as_opened(shipped_as) if name.endswith(".ipynb") else shipped_as
        fresh, plain = (hashlib.sha256(one).hexdigest() for one in (data, shipped_as))
        if _is_link(folder, name):
            kept.append(name)
            continue
        present = digest(target) if target.is_file() else None
        if present not in (None, fresh, plain, record.get(name)):
            kept.append(name)
            continue
        if present != fresh:
            if not target.parent.is_dir():
                target.parent.mkdir(parents=True)
            _tidy_up(target.parent)
            write_file(target, data)
            written.append(name)
        if record.get(name) != fresh:
            record[name] = fresh
            # With each file: of a copy that is cut short, the rest still counts as ours.
            write_file(folder / RECORD, (json.dumps(record, indent=1) + "\n").encode("utf-8"))
    return Copied(tuple(written), tuple(kept))


def as_opened(notebook: bytes) -> bytes:
    """A notebook that names the Python it will run in, as JupyterLab would on opening it.

    JupyterLab marks a page as changed where it has to add that, and soon saves it: then every page
    that was only looked at would count as the maker's own. What is no notebook stays as it is.
    """
    try:
        found = json.loads(notebook)
        found["metadata"]["language_info"] = _language()
    except (ValueError, TypeError, KeyError, RecursionError):
        return notebook
    return (json.dumps(found, indent=1, ensure_ascii=False) + "\n").encode("utf-8")


@cache
def _language() -> dict[str, object]:
    """What the kernel says of its language."""
    from ipykernel.ipkernel import IPythonKernel

    return dict(IPythonKernel.language_info)


def _is_link(folder: Path, name: str) -> bool:
    """Whether a link stands there, or in a folder on the way: the maker has put something of
    theirs in its place, and nothing is written through it."""
    path = folder / name
    return any(step.is_symlink() for step in (path, *path.parents[: name.count("/")]))


def _tidy_up(folder: Path) -> None:
    """Remove what a copy that was killed had only begun to write, once nobody can be writing it."""
    for left in folder.glob(f"{NEW}*"):
        with suppress(OSError):
            if time.time() - left.lstat().st_mtime > ABANDONED:
                left.unlink()


def _record(path: Path) -> dict[str, str]:
    try:
        found = json.loads(path.read_text(encoding="utf-8")) if path.is_file() else {}
    except (OSError, ValueError, RecursionError):
        return {}
    if not isinstance(found, dict):
        return {}
    return {name: told for name, told in found.items() if isinstance(told, str)}


def first_notebook(folder: Path) -> str:
    """The notebook to begin with. Raises OpenError where there is none."""
    notebooks = sorted(path.name for path in folder.glob("*.ipynb"))
    if not notebooks:
        raise OpenError(f"{folder} has no notebook in it; this copy of tablekit ships none")
    return notebooks[0]


@dataclass(frozen=True)
class Launch:
    """A server about to be started: its address, its command and its token.

    environment  what else it is told, by the environment; so goes the token, where other users
                 of the machine cannot read it
    teacher      the address of the teacher's own page, where there is one
    """

    address: str
    command: tuple[str, ...]
    token: str
    environment: Mapping[str, str] = field(default_factory=dict)
    teacher: str = ""


def prepare_launch(folder: Path, notebook: str, browser: bool) -> Launch:
    """How to start JupyterLab in `folder`. Raises OpenError where it is not installed."""
    if importlib.util.find_spec("jupyterlab") is None:
        raise OpenError(
            f"JupyterLab is not installed; run: {sys.executable} -m pip install jupyterlab"
        )
    port, token = free_port(_FIRST_PORT), secrets.token_hex(24)
    options = [
        f"--ServerApp.root_dir={folder.resolve()}",
        f"--ServerApp.port={port}",
        # The address was told already: better to stop than to move to another port.
        "--ServerApp.port_retries=0",
        *([] if browser else ["--no-browser"]),
        # In a container one often is root, and JupyterLab would only stop with a hint at this. It
        # listens on this machine alone and asks for the token.
        *(["--allow-root"] if getattr(os, "geteuid", lambda: 1)() == 0 else []),
    ]
    return Launch(
        f"http://localhost:{port}/lab/tree/{notebook}?token={token}",
        # -P: no module is taken from the folder one stands in, whatever its name.
        (sys.executable, "-P", "-m", "jupyterlab", *options, str(folder.resolve() / notebook)),
        token,
    )


def free_port(first: int, host: str = "127.0.0.1") -> int:
    """A port that is free at every address of `host`, near `first` if there is one.

    Raises OpenError where there is none, or where `host` is no address of this machine."""
    families = _families(host)
    if not families:
        raise OpenError(
            f"{host or 'an empty name'} is no address of this machine; give one of its own, or "
            "0.0.0.0 for all of them"
        )
    for port in (*range(first, first + 50), 0):
        with suppress(OSError):
            for family in families:
                port = _tried(family, host, port)
            return port
    raise OpenError("no free port on this machine; close another server first")


def _families(host: str) -> list[int]:
    """The families of addresses (IPv4, IPv6) by which one can listen at `host`."""
    found = []
    for family in (socket.AF_INET, socket.AF_INET6):
        # UnicodeError, for what is no name at all, is a ValueError.
        with suppress(OSError, ValueError):
            _tried(family, host, 0)
            found.append(int(family))
    return found


def _tried(family: int, host: str, port: int) -> int:
    """The port, having been taken for a moment; for 0 one that is free. Raises OSError."""
    if not host:
        raise OSError(errno.EADDRNOTAVAIL, os.strerror(errno.EADDRNOTAVAIL))
    where = socket.getaddrinfo(host, port, family, socket.SOCK_STREAM)[0][4]
    with socket.socket(family) as trial:
        trial.bind(where)
        return int(trial.getsockname()[1])


def start(launch: Launch) -> int:
    """Hand over to the server. On Unix this does not return.

    It starts at the root of the file system: a server runs the settings that lie in the folder it
    is started in, such as a voila.py, and -P does not keep it from that."""
    environment = {**os.environ, **launch.environment, "JUPYTER_TOKEN": launch.token}
    if environment.get("PYTHONPATH"):
        named = (name for name in environment["PYTHONPATH"].split(os.pathsep) if name)
        environment["PYTHONPATH"] = os.pathsep.join(map(os.path.abspath, named))
    root = Path(sys.executable).anchor or os.sep
    if os.name == "posix":
        sys.stdout.flush()
        os.chdir(root)
        os.execve(launch.command[0], launch.command, environment)
    return subprocess.call(launch.command, env=environment, cwd=root)
