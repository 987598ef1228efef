"""The server behind `tablekit open --as-app`: Voilà, with every address behind the token, only the
files that a page offers, a folder for each pupil, as many pages at a time as the machine can carry,
and a page for the teacher behind a token of its own.

Started as a process of its own, with the tokens in the environment.
"""

from __future__ import annotations

import asyncio
import hashlib
import importlib
import inspect
import logging
import os
import secrets
import sys
import time
import uuid
import webbrowser
from collections import defaultdict
from collections.abc import AsyncIterator, Sequence
from contextlib import aclosing, asynccontextmanager, suppress
from contextvars import ContextVar
from dataclasses import dataclass, field
from http import HTTPStatus
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

import nbformat
from jinja2.bccache import Bucket, BytecodeCache
from jupyter_core.paths import jupyter_config_path
from jupyter_server.auth.decorator import allow_unauthenticated
from jupyter_server.auth.login import LoginFormHandler
from jupyter_server.base.handlers import JupyterHandler
from jupyter_server.services.kernels.handlers import KernelHandler
from jupyter_server.services.kernels.kernelmanager import AsyncMappingKernelManager
from jupyter_server.utils import ensure_async, url_escape, url_path_join
from tornado.iostream import StreamClosedError
from tornado.web import HTTPError, RequestHandler, StaticFileHandler, authenticated
from traitlets import Integer, default
from voila import handler as voila_handler
from voila.app import Voila
from voila.notebook_renderer import NotebookRenderer
from voila.shutdown_kernel_handler import VoilaShutdownKernelHandler
from voila.static_file_handler import TemplateStaticFileHandler
from voila.tornado.handler import TornadoVoilaHandler
from voila.tornado.kernel_websocket_handler import VoilaKernelWebsocketHandler
from voila.tornado.treehandler import TornadoVoilaTreeHandler
from voila.utils import get_page_config

from tablekit.forked_kernels import OF_PAGE, ForkedProvisioner, MadePage, fork_kernels
from tablekit.front_page import front_page, plain_name
from tablekit.made_pages import (
    Output,
    Unfit,
    alike_for_all,
    briefs_of,
    code_of,
    has_these,
)
from tablekit.offered import PAGE, offered
from tablekit.pupils import COOKIE, KEPT, MOST_PAGES, NUMBER, PAGE_NAME, Full, Pupils, folder_name
from tablekit.serving import (
    IDLE_END,
    IDLE_TOLD,
    TEACHER_TOKEN,
    TOKEN,
    at_a_time,
    reached_at,
    reached_here,
)

if TYPE_CHECKING:
    from tablekit.packet.document import Section

# A page that is reloaded says goodbye and asks anew in the same moment.
PLACE_WAIT, PLACE_LOOK = 5.0, 0.25  # seconds to wait for a place, and between two looks
PROTOCOL = "v1.kernel.websocket.jupyter.org"
TEACHER_COOKIE = "tablekit-teacher"
# Of a page that is made for all: in place of a kernel's identifier, what tells its cells that they
# are on a page without code, and how many such pages are kept.
ANYBODYS = str(uuid.uuid4())
OF_A_SERVER = {"SERVER_SOFTWARE": "voila/"}
MOST_MADE = 6
_UNHEARD = logging.getLogger("tablekit.unheard")
_UNHEARD.addHandler(logging.NullHandler())
_UNHEARD.propagate = False
_KERNEL: ContextVar[str | None] = ContextVar("kernel", default=None)


@dataclass
class OpenPage:
    """A page that is open: whose it is, its name, its folder, since when, and when somebody last
    touched it (both in seconds since the epoch)."""

    pupil: int
    name: str
    room: Path
    since: float = field(default_factory=time.time)
    touched: float = field(default_factory=time.time)


class Kernels(AsyncMappingKernelManager):
    """The kernels of the open pages: no more than `most` of them, and no more than `each` of one
    pupil. The page of a kernel that nobody has touched for `idle_end` is closed, seen or not."""

    most = Integer(30, config=True, help="How many pages may be open at a time.")
    each = Integer(MOST_PAGES, config=True, help="How many of them one pupil may have open.")
    idle_told = Integer(IDLE_TOLD, config=True, help="Seconds until an idle page says so.")
    idle_end = Integer(IDLE_END, config=True, help="Seconds until it is closed.")

    def __init__(self, **how: Any) -> None:
        super().__init__(**how)
        self._pages: dict[str, OpenPage] = {}

    @property
    def pages(self) -> dict[str, OpenPage]:
        """The open pages and those being made ready, by their kernels."""
        return self._pages

    @asynccontextmanager
    async def place(self, page: OpenPage) -> AsyncIterator[str | HTTPStatus]:
        """The identifier for one more kernel, which is then started under it. Where there is no
        place, after a while: 429 for a pupil with too many pages, 503 where `most` are open."""
        loop = asyncio.get_running_loop()
        end = loop.time() + PLACE_WAIT
        while lacking := self._lacking(page.pupil):
            if loop.time() >= end:
                yield lacking
                return
            await asyncio.sleep(PLACE_LOOK)
        kernel = str(uuid.uuid4())
        self._pages[kernel] = page
        try:
            yield kernel
        finally:
            if kernel not in self:
                self._pages.pop(kernel, None)

    def _lacking(self, pupil: int) -> HTTPStatus | None:
        if len(self.of_pupil(pupil)) >= self.each:
            return HTTPStatus.TOO_MANY_REQUESTS
        return HTTPStatus.SERVICE_UNAVAILABLE if len(self._pages) >= self.most else None

    def of_pupil(self, pupil: int | None) -> list[str]:
        """The kernels of a pupil's pages."""
        return [kernel for kernel, page in self._pages.items() if page.pupil == pupil]

    async def start_kernel(self, **how: Any) -> str:  # type: ignore[override]
        """Start one under the identifier that its page has reserved, in the folder of its pupil."""
        kernel = _KERNEL.get()
        if kernel is not None:
            page = self._pages[kernel]
            env = {**how.get("env", {}), NUMBER: str(page.pupil), PAGE_NAME: page.name}
            how = {**how, "path": None, "cwd": str(page.room), "env": env}
        return str(await super().start_kernel(kernel_id=kernel, **how))

    def remove_kernel(self, kernel_id: str) -> Any:
        """Forget it, and its page."""
        self._pages.pop(kernel_id, None)
        return super().remove_kernel(kernel_id)

    async def cull_kernel_if_idle(self, kernel_id: str) -> None:
        """End it where nobody has used its page for long."""
        page, kernel = self._pages.get(kernel_id), self._kernels[kernel_id]
        if page is not None and kernel.execution_state != "busy":
            used = max(page.touched, kernel.last_activity.timestamp())
            if time.time() - used > self.idle_end:
                self.log.info("Nobody has used page %s of pupil %d", page.name, page.pupil)
                await self.end(kernel_id)
                return
        await super().cull_kernel_if_idle(kernel_id)

    async def end(self, kernel: str) -> None:
        """End a kernel that nobody looks at any more; one that has ended already is let be."""
        if kernel in self:
            with suppress(HTTPError, KeyError):  # another request was faster
                await ensure_async(self.shutdown_kernel(kernel, now=True))


class Gate:
    """Mixed into every handler: nobody passes without the token, and what cannot be shown is
    answered by a short page of our own."""

    public = False  # the login page, and that of the teacher, which asks by itself

    @property
    def kernels(self) -> Kernels:
        """Those of the open pages."""
        kernels: Kernels = self.settings["kernel_manager"]  # type: ignore[attr-defined]
        return kernels

    @property
    def pupils(self) -> Pupils:
        """Those of the class."""
        pupils: Pupils = self.settings["tablekit_pupils"]  # type: ignore[attr-defined]
        return pupils

    @property
    def pupil(self) -> int | None:
        """The number of who asks, by the cookie; None where they are new."""
        return self.pupils.number(self.get_cookie(COOKIE))  # type: ignore[attr-defined]

    def entered(self) -> int:
        """The number of who asks, new or not. Raises HTTPError 507 where there is none left."""
        number, handler = self.pupil, cast(JupyterHandler, self)
        if number is None:
            try:
                cookie, number = self.pupils.new()
            except (Full, OSError) as why:
                handler.log.warning("No more pupils: %r", why)
                raise HTTPError(507) from None
            handler.set_cookie(
                COOKIE, cookie, expires_days=KEPT, path=handler.base_url, httponly=True,
                samesite="Lax", secure=handler.request.protocol == "https",
            )  # fmt: skip
        return number

    async def prepare(self, *given: Any, **named: Any) -> None:
        """Find out who asks. Raises HTTPError 403 where a token is needed and there is none."""
        await _awaited(super().prepare(*given, **named))  # type: ignore[misc]
        if not (self.public or self._finished or self.current_user):  # type: ignore[attr-defined]
            raise HTTPError(403)

    def write_error(self, status_code: int, **_: Any) -> None:
        """The short page."""
        self.say(status_code, *WORDS.get(status_code, WORDS[0]))

    def say(self, status_code: int, title: str, text: str, form: str = "") -> None:
        """Answer with a heading and a sentence, and a button where there is something to do;
        `form` is what it sends."""
        handler: Any = self
        handler.set_status(status_code)
        handler.set_header("Content-Type", "text/html; charset=UTF-8")
        template = handler.settings["voila_jinja2_env"].get_template("said.html")
        handler.finish(
            template.render(title=title, text=text, form=form, base_url=handler.base_url)
        )


WORDS = {
    0: ("This did not work", "Something went wrong here. Reload the page, or tell your teacher."),
    403: ("Not without the token", "Open the whole address that you were given."),
    404: ("Not found", "There is no such page here."),
    429: (
        "You have enough pages open",
        "Each of you may have three pages open. Close one, then reload this one; or close all of "
        "yours here. What you saved stays in your folder.",
    ),
    507: (
        "No more pupils",
        "The folder of this class takes no more pupils. Tell your teacher.",
    ),
    503: (
        "All places are taken",
        "As many pages are open as this machine can carry. Close one that is no longer needed, "
        "then reload this one.",
    ),
}


async def _awaited(what: Any) -> None:
    if inspect.isawaitable(what):
        await what


def gated(handler: type[RequestHandler]) -> type[RequestHandler]:
    """That handler behind the gate."""
    if issubclass(handler, Gate):
        return handler
    above = () if issubclass(handler, JupyterHandler) else (JupyterHandler,)
    return type(handler.__name__, (Gate, handler, *above), {})


class Login(Gate, LoginFormHandler):
    """The one page that is there without the token: it asks for it."""

    public = True

    def _render(self, message: dict[str, str] | None = None) -> None:
        template = self.settings["voila_jinja2_env"].get_template("login.html")
        hidden = self.xsrf_form_html()  # sets the cookie as well
        self.write(template.render(failed=message is not None, hidden=hidden))


class Logout(Gate, JupyterHandler):
    """Forgets who asked, as at a machine that many use."""

    def get(self) -> None:
        """Back to the login page; whoever comes next is somebody else."""
        self.identity_provider.clear_login_cookie(self)
        self.clear_cookie(COOKIE, path=self.base_url)
        self.redirect(self.get_login_url())


class OwnKernel(Gate):
    """Mixed into what has to do with one kernel: that of one's own page, or there is none."""

    async def prepare(self, *given: Any, **named: Any) -> None:
        """Find out whose it is. Raises HTTPError 404 where it is another's."""
        await super().prepare(*given, **named)
        handler: Any = self
        kernel = next(iter([*handler.path_kwargs.values(), *handler.path_args]), None)
        page = self.kernels.pages.get(str(kernel))
        if not self._finished and (page is None or page.pupil != self.pupil):  # type: ignore[attr-defined]
            raise HTTPError(404)


class KernelOfPage(OwnKernel, KernelHandler):
    """What is known of the kernel."""


class Channels(OwnKernel, VoilaKernelWebsocketHandler, JupyterHandler):
    """What a page and its kernel say to one another, by the protocol that every page speaks: on a
    message in another one Voilà would never come to an end."""

    async def prepare(self, *given: Any, **named: Any) -> None:
        """Find out whose it is. Raises HTTPError 404 as above, and 400 for another protocol."""
        await super().prepare(*given, **named)
        spoken = self.request.headers.get("Sec-WebSocket-Protocol", "")
        if not self._finished and PROTOCOL not in (word.strip() for word in spoken.split(",")):
            raise HTTPError(400)


class Goodbye(OwnKernel, VoilaShutdownKernelHandler):
    """What a page that is closed sends: its kernel is no longer needed."""

    async def post(self, kernel_id: str) -> None:
        """End the kernel."""
        await self.kernels.end(kernel_id)
        self.set_status(HTTPStatus.NO_CONTENT)


class Touched(OwnKernel, JupyterHandler):
    """What a page says that is read or used: it is not idle."""

    async def post(self, kernel: str) -> None:
        """Take it down."""
        self.kernels.pages[kernel].touched = time.time()
        self.set_status(HTTPStatus.NO_CONTENT)


class CloseMine(Gate, JupyterHandler):
    """Closes all pages of who asks, such as those of a tablet that was lost."""

    async def post(self) -> None:
        """End their kernels, and back to the list."""
        for kernel in self.kernels.of_pupil(self.pupil):
            await self.kernels.end(kernel)
        self.redirect(self.base_url)


class Tree(Gate, TornadoVoilaTreeHandler):
    """The front page, where a pupil comes in."""

    @authenticated
    async def get(self, path: str = "") -> None:
        """What there is to open, and what for. Raises HTTPError 404 for any folder but that of the
        pages."""
        if path.strip("/"):
            raise HTTPError(404)
        self.entered()
        front = front_page(Path(self.contents_manager.root_dir))
        self.finish(self.render_template("tree.html", front=front))


class Templates(Gate, TemplateStaticFileHandler, JupyterHandler):
    """Scripts and styles of the templates; `TEMPLATE/static/FILE`."""

    async def get(self, path: str, include_body: bool = True) -> None:
        """The file. Raises HTTPError 404 where the address names no template."""
        try:
            await _awaited(super().get(path, include_body))
        except (ValueError, AssertionError):
            raise HTTPError(404) from None


class Files(Gate, StaticFileHandler, JupyterHandler):
    """Files of the folder that a page links to, and no others."""

    def get_absolute_path(self, root: str, path: str) -> str:  # type: ignore[override]
        """Where it lies. Raises HTTPError 404 for what no page offers."""
        name = path.replace(os.sep, "/")
        if name not in offered(Path(root)):
            raise HTTPError(404)
        return super().get_absolute_path(root, path)


class Nothing(Gate, JupyterHandler):
    """Any other address."""

    def get(self) -> None:
        """There is nothing there."""
        raise HTTPError(404)

    post = put = delete = patch = head = options = get


class Compiled(BytecodeCache):
    """The templates of all pages, compiled once: to compile them took a third of the server's
    time."""

    def __init__(self) -> None:
        self._held: dict[str, bytes] = {}

    def load_bytecode(self, bucket: Bucket) -> None:
        """What was compiled before; the key is that of a name and its text."""
        if bucket.key in self._held:
            bucket.bytecode_from_string(self._held[bucket.key])

    def dump_bytecode(self, bucket: Bucket) -> None:
        """Keep it."""
        self._held[bucket.key] = bucket.bytecode_to_string()


_COMPILED = Compiled()


class Renderer(NotebookRenderer):
    """Runs the cells of a page. It comes to an end whatever happens: Voilà would wait for ever for
    the rest of a page whose kernel did not start, and hold the turn of others meanwhile."""

    def __init__(self, **how: Any) -> None:
        super().__init__(**how)
        self.left = self.failed = False
        self.request_handler.renderer = self

    async def initialize(self, **how: Any) -> None:
        """Read the notebook, and make ready to set it."""
        await super().initialize(**how)
        self.exporter.environment.bytecode_cache = _COMPILED
        kernels = self.request_handler.kernels
        self.resources["idle"] = {"told": kernels.idle_told, "end": kernels.idle_end}

    def leave(self) -> None:
        """Nobody waits for the cells any more; what fails from now on is of no concern."""
        self.left, self.log = True, _UNHEARD
        if getattr(self, "executor", None) is not None:
            self.executor.log = _UNHEARD

    async def generate_content_generator(
        self, *given: Any, **named: Any
    ) -> AsyncIterator[tuple[str, Any]]:
        """The page, piece by piece."""
        try:
            async for piece in super().generate_content_generator(*given, **named):
                yield piece
                if self.left:
                    return
        except Exception:
            self.failed = True
            self.log.exception("The page %s could not be made ready", self.notebook_path)
            yield f"<p role='alert'>{WORDS[0][1]}</p>", None


class MadeRenderer(Renderer):
    """Sets a page whose cells have been run: with what they said, and `ANYBODYS` for its kernel."""

    outputs: Sequence[list[Output]] = ()

    async def _jinja_kernel_start(self, *_: Any, **__: Any) -> str:
        return ANYBODYS

    async def _jinja_cell_generator(self, nb: Any, kernel_id: str) -> AsyncIterator[Any]:
        said = iter(self.outputs)
        for cell in nb.cells:
            if cell.cell_type == "code":
                cell.outputs = nbformat.from_dict(next(said))
            yield cell


@dataclass
class Made:
    """A page that was made for all: what of, the process that its kernels are copies of, None where
    it is not alike for all, and the page itself once it is set."""

    code: tuple[str, ...]
    text: bytes
    briefs: dict[str, bytes]
    source: MadePage | None
    html: str = ""

    def holds(self, text: bytes, briefs: dict[str, bytes]) -> bool:
        """Whether it was made of these and may still be copied."""
        fresh = self.text == text and self.briefs == briefs
        return fresh and (self.source is None or self.source.serves)


class MadePages:
    """The pages that were made for all, of the folder that is served; the `MOST_MADE` that were
    asked for last are kept."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._made: dict[str, Made] = {}
        self._locks: defaultdict[str, asyncio.Lock] = defaultdict(asyncio.Lock)

    async def of(self, name: str, room: Path) -> Made | None:
        """That page, for the pupil of that room; None where it has to be run for each."""
        code = code_of(self._folder / name)
        if ForkedProvisioner.template is None or not alike_for_all(code):
            return None
        async with self._locks[name]:
            try:
                text, briefs = (self._folder / name).read_bytes(), briefs_of(self._folder)
            except OSError:
                return None
            made = self._made.pop(name, None)
            if made is None or not made.holds(text, briefs):
                self._drop(made)
                made = Made(code, text, briefs, await asyncio.to_thread(self._run, name, code))
            self._made[name] = made  # the last of them
            while len(self._made) > MOST_MADE:
                self._drop(self._made.pop(next(iter(self._made))))
        return made if made.source is not None and has_these(room, made.briefs) else None

    def _run(self, name: str, code: tuple[str, ...]) -> MadePage | None:
        template = ForkedProvisioner.template
        assert template is not None
        try:
            return template.page(code, OF_A_SERVER, str(self._folder))
        except (OSError, Unfit, ValueError) as why:
            logging.getLogger("tornado.application").warning(
                "The page %s is run for each who opens it: %s", name, why
            )
            return None

    @staticmethod
    def _drop(made: Made | None) -> None:
        if made is not None and made.source is not None:
            made.source.close()


class NotebookPage(Gate, TornadoVoilaHandler):
    """One notebook as a page: it waits its turn, needs a place, and whoever leaves takes their
    kernel with them."""

    turns: asyncio.Semaphore
    made: MadePages
    renderer: Renderer | None = None
    _gone = False

    def on_connection_close(self) -> None:
        """Whoever asked has left."""
        self._gone = True
        super().on_connection_close()

    async def get(self, path: str | None = None) -> None:
        """The page, cell by cell."""
        name = path or ""
        if name not in offered(Path(self.contents_manager.root_dir)):
            raise HTTPError(404)
        if not name.endswith(".ipynb"):
            self.redirect(url_path_join(self.base_url, "voila", "files", url_escape(name)))
            return
        async with self.turns:
            if self._gone:
                return
            page = OpenPage(number := self.entered(), name, self.pupils.room(number))
            async with self.kernels.place(page) as kernel:
                if isinstance(kernel, str):
                    await self._run(name, kernel)
                else:
                    self.set_header("Retry-After", "30")
                    mine = kernel == HTTPStatus.TOO_MANY_REQUESTS
                    self.say(kernel, *WORDS[kernel], self.xsrf_form_html() if mine else "")

    async def _run(self, name: str, kernel: str) -> None:
        # Read by the page when it says goodbye; asking for it sets the cookie.
        _ = self.xsrf_token
        before, whole = _KERNEL.set(kernel), False
        room = self.kernels.pages[kernel].room
        asked_for = self.get_argument("template", None) or self.get_argument("theme", None)
        made = None if asked_for else await self.made.of(name, room)
        try:
            run: Any = self.get_generator(path=name) if made is None else self._copied(made, name)
            async with aclosing(run) as cells:
                async for html in cells:
                    if self._gone:
                        return
                    self.write(html)
                    with suppress(StreamClosedError):
                        await self.flush()
            whole = not (self._gone or (self.renderer and self.renderer.failed))
        finally:
            _KERNEL.reset(before)
            if not whole:
                if self._gone and self.renderer is not None:
                    self.renderer.leave()
                await self.kernels.end(kernel)

    async def _copied(self, made: Made, name: str) -> AsyncIterator[str]:
        """The page that was made for all, once it has a kernel of its own."""
        made.html = made.html or await self._set(made, name)
        # A page that is kept by a browser would have a kernel that has ended.
        self.set_header("Cache-Control", "no-cache, no-store, must-revalidate")
        kernel = _KERNEL.get() or ""
        before = OF_PAGE.set(made.source)
        try:
            environment = {**os.environ, **OF_A_SERVER, "VOILA_KERNEL_ID": kernel}
            await self.kernels.start_kernel(env=environment)
        finally:
            OF_PAGE.reset(before)
        yield made.html.replace(ANYBODYS, kernel)

    async def _set(self, made: Made, name: str) -> str:
        assert made.source is not None
        how = {"base_url": self.base_url, "settings": self.settings, "log": self.log}
        renderer = MadeRenderer(
            request_handler=self,
            voila_configuration=self.voila_configuration,
            traitlet_config=self.traitlet_config,
            notebook_path=name,
            template_paths=self.template_paths,
            contents_manager=self.contents_manager,
            base_url=self.base_url,
            kernel_spec_manager=self.kernel_spec_manager,
            page_config=get_page_config(**how, voila_configuration=self.voila_configuration),
            mathjax_config=self.settings.get("mathjax_config"),
            mathjax_url=self.settings.get("mathjax_url"),
        )
        renderer.outputs = made.source.outputs
        await renderer.initialize(template=None, theme=None)
        pieces = [piece async for piece, _ in renderer.generate_content_generator(ANYBODYS)]
        return "" if renderer.failed else "".join(pieces)


class Teacher(Gate, JupyterHandler):
    """The page for the teacher, behind a token of its own: who is in, how one comes in, and how the
    class stands."""

    public = True
    secret = ""  # the token; none: nobody comes in
    address = ""  # at which pupils find the pages, with their token

    @allow_unauthenticated
    async def get(self) -> None:
        """The page; a token in the address is first exchanged for a cookie. Raises HTTPError 403
        where there is neither."""
        asked = self.get_query_argument("token", None)
        where = url_path_join(self.base_url, "teacher")
        if asked is not None and self._is(asked, self.secret):
            self.set_cookie(
                TEACHER_COOKIE, _key(self.secret), path=where, httponly=True, samesite="Strict",
                secure=self.request.protocol == "https",
            )  # fmt: skip
            self.redirect(where)
            return
        if not self._is(self.get_cookie(TEACHER_COOKIE) or "", _key(self.secret)):
            raise HTTPError(403)
        self.set_header("Cache-Control", "no-store")
        template = self.settings["voila_jinja2_env"].get_template("teacher.html")
        folder = Path(self.contents_manager.root_dir)
        names = sorted(name for name in offered(folder) if "/" not in name and name.endswith(PAGE))
        shown = {
            "pages": sorted(self.kernels.pages.values(), key=lambda one: (one.pupil, one.since)),
            "most": self.kernels.most,
            "names": names,
            "address": self.address,
            "code": _code(self.address),
            "now": time.time(),
            "results": await asyncio.to_thread(_results, folder),
        }
        self.finish(template.render(shown, folder_name=folder_name, clock=_clock, plain=plain_name))

    def _is(self, given: str, wanted: str) -> bool:
        return bool(self.secret) and secrets.compare_digest(given.encode(), wanted.encode())


def _results(folder: Path) -> tuple[Section, ...]:
    """How the class stands, from the answers that are saved in the folders of the pupils."""
    from tablekit.teaching.record import class_results  # loads sympy: only where a teacher looks

    return class_results(folder)


def _key(token: str) -> str:
    """What the teacher's cookie holds: made from the token, which it does not give away."""
    return hashlib.sha256(f"teacher {token}".encode()).hexdigest()


def _clock(seconds: float) -> str:
    return time.strftime("%H:%M", time.localtime(seconds))


def _code(address: str) -> str:
    """The address as a QR code (ISO/IEC 18004), as SVG; empty where the library is missing."""
    try:
        segno = importlib.import_module("segno")
    except ImportError:
        return ""
    code = segno.make(address, error="m", micro=False)
    return str(
        code.svg_inline(scale=6, dark="#000", light="#fff", title="The address as a QR code")
    )


class ClassServer(Voila):
    """Voilà as a class uses it."""

    @default("config_file_paths")
    def _config_file_paths_default(self) -> list[str]:
        # Not the folder one stands in: its voila.py would be run.
        return list(jupyter_config_path())

    def init_settings(self) -> dict[str, Any]:
        """Voilà's, with our token whatever a settings file says, and words for what goes wrong."""
        self.token = os.environ[TOKEN]
        self.voila_configuration.multi_kernel_manager_class = Kernels
        fork_kernels(Path(self.root_dir))
        settings: dict[str, Any] = super().init_settings()
        # A token is for using the pages, not for changing the lock.
        self.identity_provider.allow_password_change = False
        self.identity_provider.hashed_password = ""
        settings["tablekit_pupils"] = Pupils(Path(self.root_dir))
        Teacher.address = f"http://{reached_at(self.ip)}:{self.port}/?token={self.token}"
        headers = {"Referrer-Policy": "same-origin"}  # an address may have the token in it
        return {**settings, "headers": headers, "default_handler_class": Nothing}

    def init_handlers(self) -> list[tuple[Any, ...]]:
        """Voilà's, each behind the gate; those that nothing of ours needs left out."""
        voila_handler.NotebookRenderer = Renderer
        NotebookPage.made = MadePages(Path(self.root_dir).resolve())
        NotebookPage.turns = asyncio.Semaphore(at_a_time(os.cpu_count() or 1))
        ours = {
            "TornadoVoilaHandler": NotebookPage,
            "TemplateStaticFileHandler": Templates,
            "TornadoVoilaTreeHandler": Tree,
            "KernelHandler": KernelOfPage,
            "VoilaKernelWebsocketHandler": Channels,
            "VoilaShutdownKernelHandler": Goodbye,
        }
        needless = {
            "VoilaContentsHandler", "AllowListFileHandler", "VoilaLoginHandler", "LogoutHandler",
        }  # fmt: skip
        handlers: list[tuple[Any, ...]] = [
            ("/login", Login),
            ("/logout", Logout),
            ("/teacher", Teacher),
            ("/voila/touched/([0-9a-f-]+)", Touched),
            ("/voila/close-mine", CloseMine),
            ("/voila/files/(.*)", Files, {"path": self.root_dir}),
        ]
        for address, handler, *how in super().init_handlers():
            name = handler.__name__
            if name not in needless and not address.startswith("/voila/tree"):
                handlers.append((address, ours.get(name) or gated(handler), *how))
        return handlers

    def launch_browser(self) -> None:
        """Open the page with the token, which Voilà would leave out."""
        webbrowser.open(f"http://{reached_here(self.ip)}:{self.port}/?token={self.token}")


def keep_out_of_the_log(secret: str) -> None:
    """From now on no record of any logger has `secret` in it."""
    make, plain = logging.getLogRecordFactory(), logging.Formatter()

    def without(*given: Any, **named: Any) -> logging.LogRecord:
        record = make(*given, **named)
        with suppress(Exception):  # a record that does not fit its words is its formatter's matter
            said = record.getMessage()
            if secret in said:
                record.msg, record.args = said.replace(secret, "[token]"), None
        if record.exc_info and isinstance(record.exc_info, tuple) and record.exc_info[0]:
            record.exc_text = plain.formatException(record.exc_info).replace(secret, "[token]")
        return record

    logging.setLogRecordFactory(without)


def main() -> None:
    """Serve until interrupted, with the options of the command line."""
    token = os.environ.get(TOKEN)
    if not token:
        sys.exit(f"{TOKEN} is not set; start the pages by: tablekit open --as-app")
    Teacher.secret = os.environ.pop(TEACHER_TOKEN, "")  # not for the kernels
    for secret in filter(None, (token, Teacher.secret)):
        keep_out_of_the_log(secret)
    logging.disable(logging.DEBUG)  # made of each message of each kernel, and shown nowhere
    ClassServer.launch_instance()


if __name__ == "__main__":
    main()
