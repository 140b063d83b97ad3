"""The addresses of the stand page, each a thin caller of a use case."""

import contextlib
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
from generator.api.names_view import complete_view, names_view
from generator.api.plan_view import PlanMovedError, change_plan, plan_view
from generator.api.preview import LONGEST, error_view, preview_view
from generator.api.progress_view import progress_view
from generator.api.section_view import SectionAsked, section_view, sections_view
from generator.api.stand_jobs import NotThereError, StandJobs, handout_order, sheet_order
from generator.documents.plan_edit import PlanChange
from generator.errors import GeneratorError, MachineError, PhraseError, RequestError
from generator.publish.sheet import parse_formats
from generator.section.turns import RehearsalPlan
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
_MADE = {"pdf": "application/pdf", "zip": "application/zip", "svg": "image/svg+xml", "png": "image/png"}
_SHOWN = ("application/pdf", "image/png")
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
    jobs: StandJobs = field(init=False)

    def __post_init__(self) -> None:
        """Work tells everyone who listens how far it is."""
        object.__setattr__(
            self, "jobs", StandJobs(self.desk, lambda job: self.events.tell("job", {"job": job}))
        )

    def application(self) -> Starlette:
        """The whole, without its guard."""
        gets: dict[str, UseCase] = {
            "/api/start": self._start,
            "/api/today": self._today,
            "/api/picture": self._picture,
            "/api/day": self._day,
            "/api/settings": lambda _sent: self.desk.settings().view,
            "/api/progress": lambda _sent: progress_view(self.desk),
            "/api/names": lambda _sent: names_view(),
            "/api/plan": lambda _sent: plan_view(self.desk),
            "/api/sections": lambda _sent: sections_view(self.desk),
            "/api/job/{job}": lambda sent: self.jobs.find(sent.text("job")).view,
            "/api/file/{job}/{name}": self._made,
        }
        posts: dict[str, UseCase] = {
            "/api/start-today": self._begin,
            "/api/preview": self._preview,
            "/api/played": self._played,
            "/api/undo": self._undo,
            "/api/settings": self._set,
            "/api/complete": lambda sent: complete_view(self.desk, sent.text("phrase", LONGEST)),
            "/api/plan": self._plan,
            "/api/section": self._section,
            "/api/handout": self._handout,
            "/api/sheet": self._sheet,
            "/api/job/{job}/stop": self._stop,
        }
        routes = [Route(path, _answering(case), methods=["GET"]) for path, case in gets.items()]
        routes += [Route(path, _answering(case), methods=["POST"]) for path, case in posts.items()]
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

    def _plan(self, sent: Sent) -> Any:  # noqa: ANN401
        trying = sent.flag("try")
        found = change_plan(
            self.desk,
            [_change(Sent(row)) for row in sent.rows("changes")],
            whole=sent.text_or_none("text", 16_000),
            base=sent.text_or_none("base", 40),
            trying=trying,
        )
        if not trying:
            self.events.tell("plan", {"base": found["plan"]["base"]})
        return found

    def _section(self, sent: Sent) -> Any:  # noqa: ANN401
        chair = sent.whole_or_none("chair", 1, 999)
        phrase = sent.text_or_none("phrase", LONGEST)
        try:
            return section_view(
                self.desk,
                _section_of(sent),
                (phrase,) if phrase and phrase.strip() else (),
                chair,
                sent.screen() if chair else None,
            )
        except PhraseError as error:
            return JSONResponse({"error": error_view(error, phrase or "")}, 422)

    def _handout(self, sent: Sent) -> Any:  # noqa: ANN401
        plan = RehearsalPlan(
            sent.texts("phrases"), own_range=sent.flag("own_range"), exact=sent.flag("exact")
        )
        score = sent.flag("score", usual=True)
        order = handout_order(self.desk, *_paper_of(sent), score=score)
        return {"job": self.jobs.handout(_section_of(sent), plan, order, sent.whole("warm_up", 0, 60, 0))}

    def _sheet(self, sent: Sent) -> Any:  # noqa: ANN401
        order = sheet_order(
            self.desk, *_paper_of(sent), parse_formats(sent.text_or_none("format", 60) or "pdf")
        )
        job = self.jobs.sheet(
            sent.texts("phrases"),
            order,
            sent.text_or_none("instrument", 100),
            sent.text_or_none("level", 100),
        )
        return {"job": job}

    def _stop(self, sent: Sent) -> Any:  # noqa: ANN401
        self.jobs.stop(sent.text("job"))
        return self.jobs.find(sent.text("job")).view

    def _made(self, sent: Sent) -> Response:
        name = sent.text("name", 200)
        data = self.jobs.file(sent.text("job"), name)
        kind = _MADE.get(name.rpartition(".")[2], "application/octet-stream")
        headers = {
            "content-disposition": f'{"inline" if kind in _SHOWN else "attachment"}; filename="{name}"'
        }
        return Response(data, media_type=kind, headers=headers)


def _section_of(sent: Sent) -> SectionAsked:
    return SectionAsked(
        sent.text_or_none("section", 300),
        sent.text_or_none("text", 16_000),
        sent.text_or_none("kind", 10) or "toml",
        sent.text_or_none("instruments"),
    )


def _paper_of(sent: Sent) -> tuple[str, str, str]:
    """Title, paper and print size."""
    return (
        sent.text_or_none("title", 200) or "",
        sent.text_or_none("paper", 20) or "letter",
        sent.text_or_none("print", 20) or "normal",
    )


def _change(row: Sent) -> PlanChange:
    """One change of a plan, as the page writes it."""
    fields = row.all()
    if "field" in fields:
        return PlanChange({row.text("field", 40): fields.get("value")})
    values = fields.get("set", fields.get("add"))
    if values is not None and not isinstance(values, dict):
        raise RequestError("set and add are objects of fields and values")
    table = row.text_or_none("table", 20) or ("list" if "list" in fields else "keep")
    named = next((name for name in ("keep", "list", "remove") if name in fields), None)
    if named is None:
        return PlanChange(values or {}, table)
    line = row.whole(named, 1, 100_000)
    return PlanChange(None if named == "remove" else values or {}, table, line=line)


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
    if isinstance(error, stand_day.OtherSheetError | PlanMovedError):
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
