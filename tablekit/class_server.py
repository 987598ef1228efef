"""The server behind `tablekit open --as-app`: Voilà, with every address behind the token, only the
files that a page offers, and as many pages at a time as the machine can carry.

Started as a process of its own, with the token in the environment as JUPYTER_TOKEN.
"""

from __future__ import annotations

import asyncio
import inspect
import logging
import os
import sys
import uuid
import webbrowser
from collections.abc import AsyncIterator
from contextlib import aclosing, asynccontextmanager, suppress
from contextvars import ContextVar
from http import HTTPStatus
from pathlib import Path
from typing import Any

from jinja2.bccache import Bucket, BytecodeCache
from jupyter_core.paths import jupyter_config_path
from jupyter_server.auth.login import LoginFormHandler
from jupyter_server.base.handlers import JupyterHandler
from jupyter_server.services.kernels.kernelmanager import AsyncMappingKernelManager
from jupyter_server.utils import ensure_async, url_escape, url_path_join
from tornado.iostream import StreamClosedError
from tornado.web import HTTPError, RequestHandler, StaticFileHandler
from traitlets import Integer, default
from voila import handler as voila_handler
from voila.app import Voila
from voila.notebook_renderer import NotebookRenderer
from voila.shutdown_kernel_handler import VoilaShutdownKernelHandler
from voila.static_file_handler import TemplateStaticFileHandler
from voila.tornado.handler import TornadoVoilaHandler

from tablekit.forked_kernels import fork_kernels
from tablekit.offered import offered
from tablekit.serving import TOKEN, at_a_time, reached_here

# A page that is reloaded says goodbye and asks anew in the same moment.
PLACE_WAIT, PLACE_LOOK = 5.0, 0.25  # seconds to wait for a place, and between two looks
_UNHEARD = logging.getLogger("tablekit.unheard")
_UNHEARD.addHandler(logging.NullHandler())
_UNHEARD.propagate = False
_KERNEL: ContextVar[str | None] = ContextVar("kernel", default=None)


class Kernels(AsyncMappingKernelManager):
    """The kernels of the open pages: no more than `most` of them."""

    most = Integer(30, config=True, help="How many pages may be open at a time.")

    def __init__(self, **how: Any) -> None:
        super().__init__(**how)
        self._reserved: set[str] = set()

    @asynccontextmanager
    async def place(self) -> AsyncIterator[str | None]:
        """The identifier for one more kernel, which is then started under it; None where `most`
        are running."""
        loop = asyncio.get_running_loop()
        end = loop.time() + PLACE_WAIT
        while len({*self.list_kernel_ids(), *self._reserved}) >= self.most:
            if loop.time() >= end:
                yield None
                return
            await asyncio.sleep(PLACE_LOOK)
        kernel = str(uuid.uuid4())
        self._reserved.add(kernel)
        try:
            yield kernel
        finally:
            self._reserved.discard(kernel)

    async def start_kernel(self, **how: Any) -> str:  # type: ignore[override]
        """Start one under the identifier that its page has reserved."""
        return str(await super().start_kernel(kernel_id=_KERNEL.get(), **how))

    async def end(self, kernel: str) -> None:
        """End a kernel that nobody looks at any more; one that has ended already is let be."""
        if kernel in self:
            with suppress(HTTPError, KeyError):  # another request was faster
                await ensure_async(self.shutdown_kernel(kernel, now=True))


class Gate:
    """Mixed into every handler: nobody passes without the token, and what cannot be shown is
    answered by a short page of our own."""

    public = False  # the login page alone

    async def prepare(self, *given: Any, **named: Any) -> None:
        """Find out who asks. Raises HTTPError 403 where a token is needed and there is none."""
        await _awaited(super().prepare(*given, **named))  # type: ignore[misc]
        if not (self.public or self._finished or self.current_user):  # type: ignore[attr-defined]
            raise HTTPError(403)

    def write_error(self, status_code: int, **_: Any) -> None:
        """The short page."""
        self.say(status_code, *WORDS.get(status_code, WORDS[0]))

    def say(self, status_code: int, title: str, text: str) -> None:
        """Answer with a heading and a sentence."""
        handler: Any = self
        handler.set_status(status_code)
        handler.set_header("Content-Type", "text/html; charset=UTF-8")
        template = handler.settings["voila_jinja2_env"].get_template("said.html")
        handler.finish(template.render(title=title, text=text, base_url=handler.base_url))


WORDS = {
    0: ("This did not work", "Something went wrong here. Reload the page, or tell your teacher."),
    403: ("Not without the token", "Open the whole address that you were given."),
    404: ("Not found", "There is no such page here."),
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
        """Back to the login page."""
        self.identity_provider.clear_login_cookie(self)
        self.redirect(self.get_login_url())


class Goodbye(Gate, VoilaShutdownKernelHandler):
    """What a page that is closed sends: its kernel is no longer needed."""

    async def post(self, kernel_id: str) -> None:
        """End the kernel."""
        await self.settings["kernel_manager"].end(kernel_id)
        self.set_status(HTTPStatus.NO_CONTENT)


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


class NotebookPage(Gate, TornadoVoilaHandler):
    """One notebook as a page: it waits its turn, needs a place, and whoever leaves takes their
    kernel with them."""

    turns: asyncio.Semaphore
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
            async with self.settings["kernel_manager"].place() as kernel:
                if kernel is None:
                    self.set_header("Retry-After", "30")
                    self.say(503, *WORDS[503])
                else:
                    await self._run(name, kernel)

    async def _run(self, name: str, kernel: str) -> None:
        # Read by the page when it says goodbye; asking for it sets the cookie.
        _ = self.xsrf_token
        before, whole = _KERNEL.set(kernel), False
        try:
            async with aclosing(self.get_generator(path=name)) as cells:
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
                await self.settings["kernel_manager"].end(kernel)


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
        headers = {"Referrer-Policy": "same-origin"}  # an address may have the token in it
        return {**settings, "headers": headers, "default_handler_class": Nothing}

    def init_handlers(self) -> list[tuple[Any, ...]]:
        """Voilà's, each behind the gate; those that nothing of ours needs left out."""
        voila_handler.NotebookRenderer = Renderer
        NotebookPage.turns = asyncio.Semaphore(at_a_time(os.cpu_count() or 1))
        ours = {
            "TornadoVoilaHandler": NotebookPage,
            "TemplateStaticFileHandler": Templates,
            "VoilaShutdownKernelHandler": Goodbye,
        }
        needless = {
            "VoilaContentsHandler", "AllowListFileHandler", "VoilaLoginHandler", "LogoutHandler",
        }  # fmt: skip
        handlers: list[tuple[Any, ...]] = [
            ("/login", Login),
            ("/logout", Logout),
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
    keep_out_of_the_log(token)
    logging.disable(logging.DEBUG)  # made of each message of each kernel, and shown nowhere
    ClassServer.launch_instance()


if __name__ == "__main__":
    main()
