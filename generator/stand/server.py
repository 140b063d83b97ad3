"""The addresses of the stand page, each a thin caller of a use case."""

import contextlib
import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response, StreamingResponse
from starlette.routing import Route

from generator.api import stand_day
from generator.api.desk import Desk
from generator.api.preview import LONGEST, error_view, preview_view
from generator.api.refusals import MovedError, NotThereError
from generator.errors import GeneratorError, MachineError, RequestError
from generator.stand.events import Events
from generator.stand.sent import Sent

if TYPE_CHECKING:
    from generator.stand.making import Making

PAGE = Path(__file__).parent / "page"
_KINDS = {
    ".html": "text/html; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".svg": "image/svg+xml",
    ".png": "image/png",
    ".webmanifest": "application/manifest+json",
}
LATER = (
    ("GET", "/api/progress"),
    ("GET", "/api/names"),
    ("GET", "/api/plan"),
    ("GET", "/api/sections"),
    ("GET", "/api/passages"),
    ("GET", "/api/job/{job}"),
    ("GET", "/api/file/{job}/{name}"),
    ("POST", "/api/complete"),
    ("POST", "/api/plan"),
    ("POST", "/api/section"),
    ("POST", "/api/keep-section"),
    ("POST", "/api/sent-file"),
    ("POST", "/api/drill"),
    ("POST", "/api/drill-sheet"),
    ("POST", "/api/passage"),
    ("POST", "/api/handout"),
    ("POST", "/api/sheet"),
    ("POST", "/api/job/{job}/stop"),
)
"""What `making` answers."""
UseCase = Callable[[Sent], Any]


@dataclass(frozen=True, slots=True)
class StandApplication:
    """The page's addresses.

    Attributes:
        desk: whose page it is.
        lan: other devices may come in.
        addresses: where the page is.
        events: who listens.
        files: the page's own files by name, a fixed list.
    """

    desk: Desk
    lan: bool = False
    addresses: tuple[str, ...] = ()
    events: Events = field(default_factory=Events)
    files: Mapping[str, Path] = field(default_factory=lambda: own_files(PAGE))
    _later: "list[Making]" = field(default_factory=list)
    _loading: threading.Lock = field(default_factory=threading.Lock)

    def application(self) -> Starlette:
        """The whole, without its guard."""
        gets: dict[str, UseCase] = {
            "/api/start": self._start,
            "/api/today": self._today,
            "/api/picture": self._picture,
            "/api/day": self._day,
            "/api/settings": lambda _sent: self.desk.settings().view,
        }
        posts: dict[str, UseCase] = {
            "/api/start-today": self._begin,
            "/api/preview": self._preview,
            "/api/played": self._played,
            "/api/undo": self._undo,
            "/api/settings": self._set,
        }
        routes = [Route(path, _answering(case), methods=["GET"]) for path, case in gets.items()]
        routes += [Route(path, _answering(case), methods=["POST"]) for path, case in posts.items()]
        for method, path in LATER:
            routes.append(Route(path, _answering(partial(self._made_later, method, path)), methods=[method]))
        routes += [
            Route("/", self._index, methods=["GET"]),
            Route("/page/{name}", self._file, methods=["GET"]),
            Route("/api/events", self._listen, methods=["GET"]),
        ]
        return Starlette(routes=routes, exception_handlers={HTTPException: _unrouted})

    def prepare(self) -> None:
        """Choose today's sheet while the browser opens; what is wrong is told when the page asks."""
        with contextlib.suppress(GeneratorError):
            stand_day.seen_today(self.desk)
        self.making()

    def making(self) -> "Making":
        """The addresses that are loaded behind the others."""
        with self._loading:
            if not self._later:
                from generator.stand.making import Making  # noqa: PLC0415

                self._later.append(Making(self.desk, self.events))
            return self._later[0]

    def close(self) -> None:
        """Give up whatever is being made."""
        for making in self._later:
            making.close()

    def _made_later(self, method: str, path: str, sent: Sent) -> Any:  # noqa: ANN401
        return self.making().cases[method, path](sent)

    async def _index(self, _request: Request) -> Response:
        return self._own("index.html")

    async def _file(self, request: Request) -> Response:
        return self._own(request.path_params["name"])

    def _own(self, name: str) -> Response:
        path = self.files.get(name)
        if path is None:
            return _told(404, "there is no such page")
        return Response(path.read_bytes(), media_type=_KINDS[path.suffix])

    async def _listen(self, _request: Request) -> Response:
        return StreamingResponse(self.events.listen(), media_type="text/event-stream")

    def _start(self, _sent: Sent) -> Any:  # noqa: ANN401  # what JSON can say
        return {**stand_day.start_view(self.desk), "lan": self.lan, "addresses": list(self.addresses)}

    def _today(self, sent: Sent) -> Any:  # noqa: ANN401
        screen = sent.screen() if sent.flag("pictures", usual=True) else None
        return stand_day.today_view(self.desk, screen)

    def _picture(self, sent: Sent) -> Any:  # noqa: ANN401
        return stand_day.picture_view(self.desk, sent.whole("number", 1, 999), sent.screen())

    def _day(self, sent: Sent) -> Any:  # noqa: ANN401
        return stand_day.day_view(self.desk, sent.text("day", 20))

    def _begin(self, _sent: Sent) -> Any:  # noqa: ANN401
        code = stand_day.begin_today(self.desk).sheet.code
        self.events.tell("started", {"sheet": code})
        return {"sheet": code}

    def _preview(self, sent: Sent) -> Any:  # noqa: ANN401
        phrase = sent.text("phrase", LONGEST)
        screen = sent.screen()
        try:
            return preview_view(
                self.desk,
                phrase,
                screen,
                instrument=sent.text_or_none("instrument", 100),
                level=sent.text_or_none("level", 100),
                at=sent.whole("at", 0, 100_000, 0),
            )
        except RequestError as error:
            return JSONResponse({"error": error_view(error, phrase)}, 422)

    def _played(self, sent: Sent) -> Any:  # noqa: ANN401
        heard = stand_day.note(
            self.desk,
            sent.text("sheet", 20),
            sent.whole("number", 1, 999),
            sent.text("felt", 20),
            sent.uid(),
            tempo=sent.whole_or_none("tempo", 20, 400),
            minutes=sent.whole_or_none("minutes", 1, 600),
            day=sent.text_or_none("day", 20),
        )
        told = {"sheet": heard.sheet, "number": heard.number, "uid": heard.uid}
        if not heard.again:
            self.events.tell(
                "noted", {**told, "felt": sent.text("felt"), "tempo": sent.whole_or_none("tempo", 20, 400)}
            )
        return {"noted": True, "again": heard.again, "waits": heard.waits, **told}

    def _undo(self, sent: Sent) -> Any:  # noqa: ANN401
        uid = sent.uid()
        undone = stand_day.take_back(self.desk, uid)
        if undone:
            self.events.tell("undone", {"uid": uid})
        return {"undone": True, "again": not undone}

    def _set(self, sent: Sent) -> Any:  # noqa: ANN401
        found = self.desk.change_settings(sent.all()).view
        self.events.tell("settings", found)
        return found


def own_files(folder: Path) -> dict[str, Path]:
    """The files of the page by name, as they are now: nothing else is ever served."""
    return {path.name: path for path in sorted(folder.glob("*")) if path.suffix in _KINDS and path.is_file()}


def _answering(case: UseCase) -> Callable[[Request], Any]:
    """A use case as an answer to a request, in a thread of its own."""

    async def answer(request: Request) -> Response:
        try:
            if request.method == "POST":
                body = Sent.of_body(await request.body())
                sent = Sent({**body.all(), **request.path_params})
            else:
                sent = Sent({**request.query_params, **request.path_params})
            found = await run_in_threadpool(case, sent)
        except GeneratorError as error:
            return _refusal(error)
        return found if isinstance(found, Response) else JSONResponse(found)

    return answer


def _refusal(error: GeneratorError) -> Response:
    status = 500 if isinstance(error, MachineError) else 422
    if isinstance(error, MovedError):
        status = 409
    if isinstance(error, NotThereError):
        status = 404
    lines = str(error).splitlines()
    return JSONResponse({"error": {"message": lines[0], "faults": lines}}, status)


async def _unrouted(_request: Request, problem: Exception) -> Response:
    status = problem.status_code if isinstance(problem, HTTPException) else 500
    return _told(status, "there is no such page" if status == 404 else "this cannot be asked for here")


def _told(status: int, message: str) -> Response:
    return JSONResponse({"error": {"message": message}}, status)
