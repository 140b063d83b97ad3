"""A section on a page: which files there are, who sits where, what each chair reads."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING, Any

from generator.api.desk import Desk
from generator.api.exercise_view import exercise_view
from generator.api.handouts import passages_of
from generator.api.rosters import answer_to, keep_section, questions
from generator.api.sent_files import SentFile
from generator.catalogue.names import fold
from generator.catalogue.tables import shared_catalogue
from generator.documents.roster import ROSTERS, read_roster
from generator.documents.section import Answer, Chair, Doubt, Section, from_names
from generator.documents.section_file import read_section
from generator.engraving.render import signs
from generator.errors import BadFileError, MachineError, OutputError, RequestError, shown
from generator.files.drafts import scratch
from generator.files.resources import data_folder, why
from generator.files.text import clean, slug
from generator.pages.screen import Screen
from generator.passage.store import Passages
from generator.section.defaults import with_defaults
from generator.section.rehearsal import ChairPart, Rehearsal, rehearse
from generator.section.rehearsal_plan import RehearsalPlan

if TYPE_CHECKING:
    from generator.passage.kept import KeptPassage

_MOST_FILES = 200
_LARGEST = 1 << 20  # bytes of a file that is looked into
KINDS = ("toml", "csv")
_SENT = (*KINDS, "xlsx", "txt", "tsv")


@dataclass(frozen=True, slots=True)
class SectionAsked:
    """A section as a page asks for it: exactly one of the four.

    Attributes:
        name: of a file of the list.
        text: what such a file holds.
        kind: of that text, toml or csv.
        instruments: names with commas.
        file: a section file or a roster that was sent.
        answers: field, words and meaning of doubtful cells of a roster, as the page sends them.
    """

    name: str | None = None
    text: str | None = None
    kind: str = "toml"
    instruments: str | None = None
    file: SentFile | None = None
    answers: tuple[tuple[str, str, str], ...] = ()


def section_files(desk: Desk) -> dict[str, Path]:
    """The section files of the home folder, the current one and the examples, by name; nothing else is ever opened."""
    found: dict[str, Path] = {}
    for folder in (desk.home.plan.parent, desk.here, data_folder("shared") / "examples"):
        try:
            paths = sorted(folder.iterdir())[:5000] if folder.is_dir() else []
        except OSError:
            continue
        for path in paths:
            if len(found) < _MOST_FILES and path.suffix.casefold()[1:] in KINDS and _is_section(path):
                found.setdefault(path.name, path)
    return found


def sections_view(desk: Desk) -> dict[str, Any]:
    """The section files there are, with their titles; one with mistakes says so."""
    examples = data_folder("shared") / "examples"
    rows = []
    for name, path in section_files(desk).items():
        row: dict[str, Any] = {"name": name, "title": name, "chairs": 0, "example": path.parent == examples}
        try:
            section = _read(path)
            row |= {"title": section.title or path.stem, "chairs": len(section.chairs)}
        except (RequestError, MachineError) as error:
            row["fault"] = str(error).splitlines()[0]
        rows.append(row)
    return {"sections": rows}


def section_view(
    desk: Desk, asked: SectionAsked, phrases: tuple[str, ...], chair: int | None, screen: Screen | None
) -> dict[str, Any]:
    """Who sits where and reads what, and the music of one chair.

    Args:
        desk: the desk.
        asked: which section.
        phrases: in concert keys unless they say "written"; none for the chairs alone.
        chair: whose music, by its number from 1; None for nobody's.
        screen: the room for it.

    Returns:
        The chairs; or none, and the mistakes of the file, one a line.

    Raises:
        RequestError: a phrase cannot be read, nothing fits, or there is no such section or chair.
        MachineError: LilyPond failed.
    """
    try:
        section = section_of(desk, asked)
    except BadFileError as error:
        return {"title": "", "note": "", "chairs": [], "faults": str(error).splitlines(), "questions": []}
    kept = passages_of(phrases, Passages(desk.home.passages))
    rehearsal = _rehearsal(section, phrases, kept) if phrases else None
    chairs = _by_chair(section, rehearsal) if rehearsal else {}
    rows = [_row(number, one, chairs.get(number)) for number, one in enumerate(section.chairs, 1)]
    found: dict[str, Any] = {
        "title": section.title,
        "note": section.note,
        "chairs": rows,
        "copies": sum(one.copies for one in section.chairs),
        "faults": [doubt.words for doubt in section.doubts],
        "questions": [_question(doubts) for doubts in questions(section) if doubts[0].said],
        "remarks": list(section.remarks),
        "headings": [signs(heading) for heading in rehearsal.headings] if rehearsal else [],
        "together": rehearsal.together if rehearsal else False,
        "left_out": [f"{phrase}: {reason}" for phrase, reason in rehearsal.refused] if rehearsal else [],
        "chair": chair,
    }
    if chair is None or rehearsal is None:
        return found
    part = chairs.get(chair)
    if part is None:
        raise RequestError(f"the section has chairs 1 to {len(rows)}, not {chair}")
    exercise = part.exercises[0]
    pictures = desk.press.all_pictures(exercise, screen) if screen else ()
    return {**found, **exercise_view(exercise, part.player, desk.settings().a4, *pictures)}


def section_of(desk: Desk, asked: SectionAsked) -> Section:
    """The section that is meant.

    Raises:
        BadFileError: the file has mistakes, one a line.
        RequestError: there is no such file, or nothing is named.
        OutputError: it cannot be read.
    """
    if asked.instruments is not None:
        return from_names(asked.instruments, "standard", shared_catalogue().instruments)
    if asked.file is not None:
        with asked.file.on_disk() as path:
            if path.suffix[1:] not in _SENT:
                raise RequestError(f"a section or roster is a {', '.join(f'.{one}' for one in _SENT)} file")
            return _mended(path, asked.answers)
    if asked.text is not None:
        if asked.kind not in KINDS:
            raise RequestError(f"a section is {' or '.join(KINDS)}, not {shown(asked.kind)}")
        try:
            with scratch() as folder:
                path = folder / f"section.{asked.kind}"
                path.write_bytes(asked.text.encode())
                return _mended(path, asked.answers)
        except OSError as problem:
            raise OutputError(f"the section cannot be read: {why(problem)}") from problem
    if asked.name is None:
        raise RequestError("say which section: a file of the list, a text, or instruments with commas")
    path_of = section_files(desk)
    if asked.name not in path_of:
        known = ", ".join(path_of) or "none"
        raise RequestError(f"there is no section {shown(asked.name)}; there are: {known}")
    return _mended(path_of[asked.name], asked.answers)


def _mended(path: Path, given: Sequence[tuple[str, str, str]]) -> Section:
    """A section file, or a roster with the answers that fit its doubts."""
    section = _read(path)
    known: tuple[Answer, ...] = ()
    # An instrument that is settled may bring its level or range into question: once more for those.
    for _ in range(2):
        found = [
            answer_to(doubt, means)
            for doubt in section.doubts
            for field, said, means in given
            if doubt.said and (field, fold(said)) == (doubt.field, fold(doubt.said))
        ]
        if not found:
            break
        known = (*known, *dict.fromkeys(found))
        section = _read(path, known)
    return section


def _read(path: Path, answers: Sequence[Answer] = ()) -> Section:
    if path.suffix.casefold() in ROSTERS:
        return read_roster(path, answers=answers)
    return read_section(path, shared_catalogue().instruments)


def _question(doubts: Sequence[Doubt]) -> dict[str, Any]:
    """One question of a roster, and the lines it is about."""
    first = doubts[0]
    return {
        "field": first.field,
        "said": first.said,
        "reason": first.reason,
        "likely": list(first.likely),
        "faults": [one.words for one in doubts],
        "lines": [{"line": one.line, "person": clean(one.person)} for one in doubts],
    }


def keep_section_of(desk: Desk, asked: SectionAsked) -> dict[str, Any]:
    """Write a roster with its answers as a section file beside the plan, under a name that is free.

    Raises:
        RequestError: it cannot be read.
        OutputError: it cannot be written.
    """
    section = section_of(desk, asked)
    folder = desk.home.plan.parent
    stem = slug(section.title, 40) or "section"
    names = (f"{stem}{f'-{n}' if n else ''}.toml" for n in count())
    with desk.lock:
        target = next(folder / name for name in names if name not in section_files(desk))
        keep_section(section, target)
    return {"section": target.name, **sections_view(desk)}


def _is_section(path: Path) -> bool:
    """Whether a file looks like one, whatever its mistakes."""
    try:
        if not path.is_file() or path.stat().st_size > _LARGEST:
            return False
        with path.open("rb") as file:
            data = file.read(_LARGEST)
    except OSError:
        return False
    return b"[[chair]]" in data if path.suffix.casefold() == ".toml" else b"instrument" in data[:500].lower()


@lru_cache(maxsize=4)
def _rehearsal(section: Section, phrases: tuple[str, ...], kept: "tuple[KeptPassage, ...]") -> Rehearsal:
    """Kept, because one looks at chair after chair."""
    return rehearse(section, with_defaults(RehearsalPlan(phrases, kept=kept), section))


def _by_chair(section: Section, rehearsal: Rehearsal) -> dict[int, ChairPart]:
    """The part of each chair, by the chair's number."""
    parts = {part.player: part for part in rehearsal.parts}
    return {number: parts[chair.player] for number, chair in enumerate(section.chairs, 1)}


def _row(number: int, chair: Chair, part: ChairPart | None) -> dict[str, Any]:
    return {
        "number": number,
        "name": clean(chair.name),
        "instrument": chair.player.instrument.name,
        "label": chair.player.instrument.label,
        "level": chair.player.level,
        "person": clean(chair.person),
        "copies": chair.copies,
        "reads": [signs(key) for key in dict.fromkeys(part.keys) if key] if part else [],
    }
