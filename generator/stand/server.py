"""The addresses of the stand page, each a thin caller of a use case."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response, StreamingResponse
from starlette.routing import Route

from generator.api import stand_day
from generator.api.desk import Desk
from generator.api.preview import LONGEST, error_view, preview_view
from generator.errors import GeneratorError, MachineError, RequestError
from generator.stand.events import Events
from generator.stand.sent import Sent

PAGE = Path(__file__).parent / "page"
_KINDS = {
    ".html": "text/html; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".svg": "image/svg+xml",
    ".png": "image/png",
    ".webmanifest": "application/manifest+json",
}
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

    def application(self) -> Starlette:
        """The whole, without its guard."""
        gets: dict[str, UseCase] = {
            "/api/start": self._start,
            "/api/today": self._today,
            "/api/picture": self._picture,
            "/api/day": self._day,
            "/api/settings": lambda _given: self.desk.settings().view,
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
        routes += [
            Route("/", self._index, methods=["GET"]),
            Route("/page/{name}", self._file, methods=["GET"]),
            Route("/api/events", self._listen, methods=["GET"]),
        ]
        return Starlette(routes=routes, exception_handlers={HTTPException: _unrouted})

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

    def _start(self, _given: Sent) -> Any:  # noqa: ANN401  # what JSON can say
        return {**stand_day.start_view(self.desk), "lan": self.lan, "addresses": list(self.addresses)}

    def _today(self, given: Sent) -> Any:  # noqa: ANN401
        screen = given.screen() if given.flag("pictures", usual=True) else None
        return stand_day.today_view(self.desk, screen)

    def _picture(self, given: Sent) -> Any:  # noqa: ANN401
        return stand_day.picture_view(self.desk, given.whole("number", 1, 999), given.screen())

    def _day(self, given: Sent) -> Any:  # noqa: ANN401
        return stand_day.day_view(self.desk, given.text("day", 20))

    def _begin(self, _given: Sent) -> Any:  # noqa: ANN401
        code = stand_day.begin_today(self.desk).sheet.code
        self.events.tell("started", {"sheet": code})
        return {"sheet": code}

    def _preview(self, given: Sent) -> Any:  # noqa: ANN401
        phrase = given.text("phrase", LONGEST)
        screen = given.screen()
        try:
            return preview_view(
                self.desk,
                phrase,
                screen,
                instrument=given.text_or_none("instrument", 100),
                level=given.text_or_none("level", 100),
                at=given.whole("at", 0, 100_000, 0),
            )
        except RequestError as error:
            return JSONResponse({"error": error_view(error, phrase)}, 422)

    def _played(self, given: Sent) -> Any:  # noqa: ANN401
        heard = stand_day.note(
            self.desk,
            given.text("sheet", 20),
            given.whole("number", 1, 999),
            given.text("felt", 20),
            given.uid(),
            tempo=given.whole_or_none("tempo", 20, 400),
            minutes=given.whole_or_none("minutes", 1, 600),
            day=given.text_or_none("day", 20),
        )
        told = {"sheet": heard.sheet, "number": heard.number, "uid": heard.uid}
        if not heard.again:
            self.events.tell(
                "noted", {**told, "felt": given.text("felt"), "tempo": given.whole_or_none("tempo", 20, 400)}
            )
        return {"noted": True, "again": heard.again, "waits": heard.waits, **told}

    def _undo(self, given: Sent) -> Any:  # noqa: ANN401
        uid = given.uid()
        undone = stand_day.take_back(self.desk, uid)
        if undone:
            self.events.tell("undone", {"uid": uid})
        return {"undone": True, "again": not undone}

    def _set(self, given: Sent) -> Any:  # noqa: ANN401
        found = self.desk.change_settings(given.all()).view
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
                given = Sent.of_body(await request.body())
            else:
                given = Sent({**request.query_params, **request.path_params})
            found = await run_in_threadpool(case, given)
        except GeneratorError as error:
            return _refusal(error)
        return found if isinstance(found, Response) else JSONResponse(found)

    return answer


def _refusal(error: GeneratorError) -> Response:
    status = 503 if isinstance(error, MachineError) else 422
    if isinstance(error, stand_day.OtherSheetError):
        status = 409
    return JSONResponse(
        {"error": {"message": str(error).splitlines()[0], "lines": str(error).splitlines()}}, status
    )


async def _unrouted(_request: Request, problem: Exception) -> Response:
    status = problem.status_code if isinstance(problem, HTTPException) else 500
    return _told(status, "there is no such page" if status == 404 else "this cannot be asked for here")


def _told(status: int, message: str) -> Response:
    return JSONResponse({"error": {"message": message}}, status)
