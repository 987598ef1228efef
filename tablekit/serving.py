"""How the panels of the notebooks are served as pages without code, to one or to a class; the
server itself is `class_server`."""

from __future__ import annotations

import importlib.util
import ipaddress
import os
import secrets
import socket
import sys
from contextlib import suppress
from pathlib import Path

from tablekit.working_copy import Launch, OpenError, free_port

FIRST_PORT = 8866  # where Voilà is usually found
PAGES = Path(__file__).parent / "class_page"
LOCAL = "localhost"
EVERYWHERE = ("0.0.0.0", "::")  # every address that this machine has
# A page that is closed ends its kernel. One whose laptop was shut, or that lost the network,
# cannot: seconds after which the kernel of a page that is gone is ended.
LEFT_ALONE, LOOK_EVERY = 900, 60
SLOW_START = 600  # seconds
TOKEN = "JUPYTER_TOKEN"  # the name that Jupyter's servers look for
# The same for one that is open and that nobody touches: first it says so, then it is closed.
IDLE_TOLD, IDLE_END = 1500, 1800
TEACHER_TOKEN = "TABLEKIT_TEACHER_TOKEN"
# An open page holds about 90 MB; the system and other programs have their share.
PAGE_MEMORY, SHARE_OF_MEMORY, FEWEST_PAGES, USUAL_PAGES = 120e6, 0.75, 4, 30
# Thirty kernels that each take every core for small sums only stand in one another's way.
ONE_THREAD = {name: "1" for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS")}


def prepare_app(folder: Path, browser: bool, host: str = LOCAL) -> Launch:
    """How to serve the notebooks in `folder` as pages without code.

    host  the address to listen at; localhost is for this machine alone

    Raises OpenError where Voilà is not installed, and where nobody can listen at `host`."""
    if importlib.util.find_spec("voila") is None:
        raise OpenError(
            "Voilà, which serves the panels without code, is not installed; run: "
            f"{sys.executable} -m pip install 'voila>=0.5'"
        )
    if "%" in host:
        raise OpenError(f"--host {host}: a browser takes no zone after %; give another address")
    port, token = free_port(FIRST_PORT, host), secrets.token_hex(24)
    teacher = secrets.token_hex(24)
    options = _options(folder, host, port, browser)
    at = f"http://{reached_at(host)}:{port}"
    return Launch(
        f"{at}/?token={token}",
        # -P and PYTHONSAFEPATH: no module from the folder one stands in, nor from a kernel's.
        (sys.executable, "-P", "-m", "tablekit.class_server", *options),
        token,
        {
            **_kept(ONE_THREAD), TEACHER_TOKEN: teacher,
            "JUPYTER_PATH": _searched(), "PYTHONSAFEPATH": "1",
        },
        f"{at}/teacher?token={teacher}",
    )  # fmt: skip


def _options(folder: Path, host: str, port: int, browser: bool) -> list[str]:
    return [
        f"--Voila.root_dir={folder.resolve()}",
        f"--Voila.ip={host}",
        f"--port={port}",
        # The address was told already: better to stop than to move to another port.
        "--Voila.port_retries=0",
        # Taken from the environment, where other users of the machine cannot read it.
        "--Voila.auto_token=True",
        "--template=tablekit",
        "--classic_tree=True",
        "--strip_sources=True",
        "--show_tracebacks=False",
        # On a busy machine a kernel may take long to get going; then it comes late, not never.
        f"--VoilaExecutor.startup_timeout={SLOW_START}",
        f"--Kernels.most={most_pages(_memory())}",
        f"--MappingKernelManager.cull_idle_timeout={LEFT_ALONE}",
        f"--MappingKernelManager.cull_interval={LOOK_EVERY}",
        *([] if browser else ["--no-browser"]),
    ]


def at_a_time(cores: int) -> int:
    """How many pages are made ready at the same time; the others wait their turn.

    When a whole class opens the page at once, first come is first served, and nobody waits longer
    for it. With thirty at a time, all of them wait as long as the last, and one server that reads
    from thirty kernels that start gives some of their cells up, whose panels are then missing."""
    return max(2, min(cores, 8))


def _kept(wished: dict[str, str]) -> dict[str, str]:
    """What is wished, except where the one who starts it has said otherwise."""
    return {name: os.environ.get(name, value) for name, value in wished.items()}


def _searched() -> str:
    told = os.environ.get("JUPYTER_PATH")
    return os.pathsep.join([str(PAGES), *([told] if told else [])])


def most_pages(memory: float | None) -> int:
    """How many pages may be open at a time on a machine with `memory` bytes; None: not known."""
    if memory is None:
        return USUAL_PAGES
    return max(FEWEST_PAGES, int(SHARE_OF_MEMORY * memory / PAGE_MEMORY))


def _memory() -> float | None:
    try:
        return float(os.sysconf("SC_PHYS_PAGES")) * os.sysconf("SC_PAGE_SIZE")
    except (AttributeError, ValueError, OSError):  # not Unix, or it does not say
        return None


def reached_here(host: str) -> str:
    """The name by which a browser on this machine finds what listens at `host`."""
    return LOCAL if host in EVERYWHERE else _in_an_address(host)


def reached_at(host: str) -> str:
    """The name under which a page finds this machine; one that listens everywhere has an address of
    its own on the network, or else its name."""
    return _own_address() or socket.gethostname() if host in EVERYWHERE else _in_an_address(host)


def _own_address() -> str | None:
    """By which others on the network find this machine, where it says so: tablets often cannot
    look its name up. Nothing is sent."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as trial, suppress(OSError):
        trial.connect(("192.0.2.1", 9))  # nobody's: RFC 5737
        return str(trial.getsockname()[0])
    return None


def _in_an_address(host: str) -> str:
    """In brackets where it is an IPv6 address, whose colons would be taken for a port's."""
    try:
        return f"[{host}]" if ipaddress.ip_address(host).version == 6 else host
    except ValueError:  # a name
        return host
