"""The page's addresses that are not needed at once: progress, names, plan, section, and what is made in files.

It is loaded behind today's sheet, because what it stands on takes as long to load as all the rest.
"""

from collections.abc import Callable, Mapping
from typing import Any

from starlette.responses import JSONResponse, Response

from generator.api.desk import Desk
from generator.api.names_view import complete_view, names_view
from generator.api.plan_view import change_plan, plan_view
from generator.api.preview import LONGEST, error_view
from generator.api.progress_view import progress_view
from generator.api.section_view import SectionAsked, section_view, sections_view
from generator.api.stand_jobs import StandJobs, handout_order, sheet_order
from generator.documents.plan_edit import PlanChange
from generator.errors import PhraseError, RequestError
from generator.publish.sheet import parse_formats
from generator.section.turns import RehearsalPlan
from generator.stand.events import Events
from generator.stand.sent import Sent

UseCase = Callable[[Sent], Any]
_MADE = {"pdf": "application/pdf", "zip": "application/zip", "svg": "image/svg+xml", "png": "image/png"}
_SHOWN = ("application/pdf", "image/png")


class Making:
    """These addresses of one page.

    Args:
        desk: whose page it is.
        events: who listens.
    """

    def __init__(self, desk: Desk, events: Events) -> None:
        self._desk, self._events = desk, events
        self.jobs = StandJobs(desk, lambda job: events.tell("job", {"job": job}))
        self.cases: Mapping[tuple[str, str], UseCase] = {
            ("GET", "/api/progress"): lambda _sent: progress_view(desk),
            ("GET", "/api/names"): lambda _sent: names_view(),
            ("GET", "/api/plan"): lambda _sent: plan_view(desk),
            ("GET", "/api/sections"): lambda _sent: sections_view(desk),
            ("GET", "/api/job/{job}"): lambda sent: self.jobs.find(sent.text("job")).view,
            ("GET", "/api/file/{job}/{name}"): self._made,
            ("POST", "/api/complete"): lambda sent: complete_view(desk, sent.text("phrase", LONGEST)),
            ("POST", "/api/plan"): self._plan,
            ("POST", "/api/section"): self._section,
            ("POST", "/api/handout"): self._handout,
            ("POST", "/api/sheet"): self._sheet,
            ("POST", "/api/job/{job}/stop"): self._stop,
        }

    def close(self) -> None:
        """Give all work up."""
        self.jobs.close()

    def _plan(self, sent: Sent) -> Any:  # noqa: ANN401
        trying = sent.flag("try")
        found = change_plan(
            self._desk,
            [_change(Sent(row)) for row in sent.rows("changes")],
            whole=sent.text_or_none("text", 16_000),
            base=sent.text_or_none("base", 40),
            trying=trying,
        )
        if not trying:
            self._events.tell("plan", {"base": found["plan"]["base"]})
        return found

    def _section(self, sent: Sent) -> Any:  # noqa: ANN401
        chair = sent.whole_or_none("chair", 1, 999)
        phrase = sent.text_or_none("phrase", LONGEST)
        try:
            return section_view(
                self._desk,
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
        order = handout_order(self._desk, *_paper_of(sent), score=score)
        return {"job": self.jobs.handout(_section_of(sent), plan, order, sent.whole("warm_up", 0, 60, 0))}

    def _sheet(self, sent: Sent) -> Any:  # noqa: ANN401
        order = sheet_order(
            self._desk, *_paper_of(sent), parse_formats(sent.text_or_none("format", 60) or "pdf")
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
