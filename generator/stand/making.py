"""The page's addresses that are not needed at once: progress, names, plan, section, and what is made in files.

It is loaded behind today's sheet, because what it stands on takes as long to load as all the rest.
"""

from collections.abc import Callable, Mapping
from typing import Any

from starlette.responses import JSONResponse, Response

from generator.api.desk import Desk
from generator.api.drill_view import DrillAsked, drill_view, drop_passage, keep_passage, passages_view
from generator.api.names_view import complete_view, names_view
from generator.api.plan_view import change_plan, plan_view
from generator.api.preview import LONGEST, error_view
from generator.api.progress_view import progress_view
from generator.api.section_view import SectionAsked, keep_section_of, section_view, sections_view
from generator.api.sent_files import SentFiles
from generator.api.stand_jobs import StandJobs, handout_order, sheet_order
from generator.documents.plan_edit import PlanChange
from generator.errors import PhraseError, RequestError
from generator.passage.parts import PartError
from generator.publish.sheet import parse_formats
from generator.section.rehearsal_plan import RehearsalPlan
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
        self._files = SentFiles()
        self.cases: Mapping[tuple[str, str], UseCase] = {
            ("GET", "/api/progress"): lambda _sent: progress_view(desk),
            ("GET", "/api/names"): lambda _sent: names_view(),
            ("GET", "/api/plan"): lambda _sent: plan_view(desk),
            ("GET", "/api/sections"): lambda _sent: sections_view(desk),
            ("GET", "/api/passages"): lambda _sent: passages_view(desk),
            ("GET", "/api/job/{job}"): lambda sent: self.jobs.find(sent.text("job")).view,
            ("GET", "/api/file/{job}/{name}"): self._made,
            ("POST", "/api/complete"): lambda sent: complete_view(desk, sent.text("phrase", LONGEST)),
            ("POST", "/api/plan"): self._plan,
            ("POST", "/api/section"): self._section,
            ("POST", "/api/keep-section"): lambda sent: keep_section_of(desk, self._section_of(sent)),
            ("POST", "/api/sent-file"): self._sent_file,
            ("POST", "/api/drill"): self._drill,
            ("POST", "/api/drill-sheet"): self._drill_sheet,
            ("POST", "/api/passage"): self._passage,
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
                self._section_of(sent),
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
        return {
            "job": self.jobs.handout(self._section_of(sent), plan, order, sent.whole("warm_up", 0, 60, 0))
        }

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

    def _sent_file(self, sent: Sent) -> Any:  # noqa: ANN401
        file = sent.uid()
        of = sent.whole("of", 1, 10_000)
        whole = self._files.add(
            file, sent.text("name", 300), sent.whole("at", 0, of - 1), of, sent.text("data", 16_000)
        )
        return {"file": file, "whole": whole}

    def _drill(self, sent: Sent) -> Any:  # noqa: ANN401
        try:
            return drill_view(self._desk, self._drill_of(sent), sent.screen(), sent.whole("at", 0, 100, 0))
        except PartError as error:
            return JSONResponse({"error": {"message": str(error), "parts": list(error.parts)}}, 422)

    def _drill_sheet(self, sent: Sent) -> Any:  # noqa: ANN401
        order = sheet_order(self._desk, *_paper_of(sent), ("pdf",))
        return {"job": self.jobs.drill(self._drill_of(sent), order)}

    def _passage(self, sent: Sent) -> Any:  # noqa: ANN401
        dropped = sent.text_or_none("drop", 100)
        if dropped:
            return drop_passage(self._desk, dropped)
        words = sent.text_or_none("source", 200) or ""
        return keep_passage(self._desk, self._drill_of(sent), sent.text("keep", 100), words)

    def _drill_of(self, sent: Sent) -> DrillAsked:
        file = sent.text_or_none("file", 64)
        return DrillAsked(
            name=sent.text_or_none("name", 100) or "",
            notes=sent.text_or_none("notes", 12_000) or "",
            file=self._files.find(file) if file else None,
            bars=sent.text_or_none("bars", 40) or "",
            part=sent.text_or_none("part", 100) or "",
            key=sent.text_or_none("key", 20) or "",
            hard=sent.text_or_none("hard", 20),
            goal=sent.whole_or_none("goal", 20, 400),
            concert=sent.flag("concert"),
            instrument=sent.text_or_none("instrument", 100),
            level=sent.text_or_none("level", 100),
        )

    def _section_of(self, sent: Sent) -> SectionAsked:
        file = sent.text_or_none("file", 64)
        rows = [Sent(row) for row in sent.rows("answers")]
        return SectionAsked(
            sent.text_or_none("section", 300),
            sent.text_or_none("text", 16_000),
            sent.text_or_none("kind", 10) or "toml",
            sent.text_or_none("instruments"),
            self._files.find(file) if file else None,
            tuple((row.text("field", 20), row.text("said", 300), row.text("means", 100)) for row in rows),
        )

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
    table = row.text_or_none("table", 20) or next(
        (name for name in ("list", "aim") if name in fields), "keep"
    )
    named = next((name for name in ("keep", "list", "aim", "remove") if name in fields), None)
    if named is None:
        return PlanChange(values or {}, table)
    line = row.whole(named, 1, 100_000)
    return PlanChange(None if named == "remove" else values or {}, table, line=line)
