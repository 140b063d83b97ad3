"""What LilyPond was asked for, and whether it delivered: reads its log and its files. Starts nothing.

Exit code 0 proves little: on a full disk LilyPond 2.24.3 reports success over half a PDF, and a broken bar is
only a warning to it. So a run counts as good only if the code is 0, no line of the log is on the list below,
and every file asked for is there and has both its ends.
"""

import re
import signal
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import count
from pathlib import Path

from generator.engraving.program import Program
from generator.errors import EngravingError

FORMATS = ("pdf", "png", "svg", "midi")

_PLACE = r'(?:[^\s"]+:\d+:\d+: )?'
# Anchored at the line start: LilyPond quotes source lines, in which a title may well say "error:".
_BAD = re.compile(
    rf"^{_PLACE}(?:(?:fatal |programming )?error: "
    r"|warning: (?:barcheck failed|unterminated|octave check|unknown clef|Cairo \w+ status)).*",
    re.MULTILINE,
)
_NO_GLYPH = re.compile(r"^warning: no glyph for character U\+([0-9A-F]+)", re.MULTILINE)
_OVERFULL = re.compile(
    r"^warning: .*(?:over-full page|too few pages|bad number of pages|page \d+ has been compressed"
    r"|page must be compressed|cannot fit)",
    re.MULTILINE,
)
_UNFITTING = re.compile(
    r"^warning: .*(?:too few pages|bad number of pages|page must be compressed|cannot fit)", re.MULTILINE
)
_COMPRESSED = re.compile(r"^warning: compressing over-full page by ([0-9.]+) staff-spaces", re.MULTILINE)
# Shared out over a page, so little more than there is room for is not seen.
_UNSEEN = 1.5
_OTHER_WARNING = re.compile(
    rf"^({_PLACE})warning: (?!no glyph|ignoring unsupported formats)(.*)", re.MULTILINE
)
_WANT_OF_MEMORY = re.compile(
    r"out.of.memory|failed to expand heap|bad_alloc|cannot allocate memory|error creating thread",
    re.IGNORECASE,
)
_STANDARD_INPUT = re.compile(r"^(?:-|<included string>)(?=:\d+:\d+: )", re.MULTILINE)
_SIGNALS = {
    int(getattr(signal, name)): what
    for name, what in (
        ("SIGXCPU", "took more computing time than it may use"),
        ("SIGXFSZ", "wrote a larger file than it may"),
        ("SIGKILL", "was killed from outside, often for want of memory,"),
    )
    if hasattr(signal, name)
}
# First and last bytes. PNG ends with an IEND chunk and its checksum, MIDI with an end-of-track event.
_ENDS = {
    "pdf": (b"%PDF-", b"%%EOF"),
    "png": (b"\x89PNG\r\n\x1a\n", b"IEND\xaeB`\x82"),
    "svg": (b"<", b"</svg>"),
    "midi": (b"MThd", b"\xff\x2f\x00"),
}
PLAIN_STEM = re.compile(r"[a-z0-9][a-z0-9-]{0,99}")


@dataclass(frozen=True, slots=True)
class EngravingOrder:
    """What one run shall deliver.

    Args:
        formats: some of FORMATS.
        outputs: file stems, one for each book in the text.
        resolution: dots an inch, for PNG.
        crop: cut each piece down to its ink instead of setting it on paper.
    """

    formats: tuple[str, ...] = ("pdf",)
    outputs: tuple[str, ...] = ("sheet",)
    resolution: int = 110
    crop: bool = False

    def __post_init__(self) -> None:
        wrong = [name for name in self.formats if name not in FORMATS]
        if wrong or not self.formats:
            raise EngravingError(
                f"LilyPond gives no {', '.join(wrong) or 'empty choice'}; choose from {', '.join(FORMATS)}"
            )
        for stem in self.outputs:
            if not PLAIN_STEM.fullmatch(stem):
                raise EngravingError(
                    f"{stem!r} cannot be an output name; letters a-z, digits and hyphens can"
                )
        if self.formats != ("pdf",):  # only PDF keeps all pages in one file
            for stem in self.outputs:
                if re.sub(r"-(?:page)?\d+$", "", stem) in set(self.outputs) - {stem}:
                    raise EngravingError(
                        f"the output name {stem!r} would be taken for a page of another output"
                    )

    def passes(self, *, cairo: bool) -> tuple[tuple[str, ...], ...]:
        """The options of each run that this order needs: one run, unless SVG has to do without Cairo."""
        paged = [name for name in self.formats if name != "midi"]
        if cairo or "svg" not in paged:
            return (self._options("cairo" if cairo else "ps", paged),)
        rest = [name for name in paged if name != "svg"]
        svg = self._options("svg", ["svg"])
        return (self._options("ps", rest), svg) if rest else (svg,)

    def _options(self, backend: str, paged: list[str]) -> tuple[str, ...]:
        options = [f"-dbackend={backend}"]
        if paged:
            options += ["-f", ",".join(paged)]
        if "png" in paged:
            options.append(f"-dresolution={self.resolution}")
        if self.crop and paged:
            options.append("-dcrop")
        if self.crop or not paged:
            options.append("-dno-print-pages")
        return tuple(options)


@dataclass(frozen=True, slots=True)
class Result:
    """What came of a run that went well.

    Args:
        files: content by name, see `collect`.
        warnings: lines for the person, such as a letter that no font has.
        overfull: the music did not fit its pages; one staff size smaller may help.
        program: the program as it turned out to be; use it for the next run.
    """

    files: Mapping[str, bytes]
    warnings: tuple[str, ...]
    overfull: bool
    program: Program


def readable(log: str) -> str:
    """The log with the page text called by its name where LilyPond read it from elsewhere."""
    return _STANDARD_INPUT.sub("sheet.ly", log)


def lacks_cairo(log: str) -> bool:
    """Whether this LilyPond was built without its Cairo backend (as Debian's 2.24.1 is)."""
    return "compiled without CAIRO_BACKEND" in log


def failure(code: int, log: str) -> str | None:
    """Why a run failed, in one line, or None if as far as code and log tell it did not.

    Args:
        code: exit code; negative, or 128 more than it, is the signal that ended the program.
        log: everything LilyPond said.
    """
    said = complaint(log)
    if code == 0:
        return f"LilyPond found fault with the page: {said}" if said else None
    if _WANT_OF_MEMORY.search(log):
        return "LilyPond needed more memory than it may use; ask for fewer exercises at once"
    number = -code if code < 0 else code - 128
    if number in _SIGNALS:
        return f"LilyPond {_SIGNALS[number]} and was stopped"
    if code < 0:
        return f"LilyPond crashed: signal {number}{_signal_name(number)}, {said or _last_line(log)}"
    return f"LilyPond stopped with an error: {said or _last_line(log)}"


def _signal_name(number: int) -> str:
    try:
        return f" ({signal.Signals(number).name})"
    except ValueError:
        return ""


def _last_line(log: str) -> str:
    lines = [line.strip() for line in log.splitlines() if line.strip()]
    return lines[-1][:300] if lines else "it did not say why"


def complaint(log: str) -> str | None:
    """The first line that makes a page unsound; what follows it is mostly its consequence."""
    found = _BAD.search(log)
    return found[0].strip()[:300] if found else None


def is_overfull(log: str) -> bool:
    """Whether the music did not fit the pages it was allowed, so that a smaller staff is worth a try."""
    seen = any(float(by) > _UNSEEN for by in _COMPRESSED.findall(log))
    return seen or _UNFITTING.search(log) is not None


def warnings(log: str) -> tuple[str, ...]:
    """What the person should know although the page is sound, each once, one line each."""
    lines = [_missing_sign(int(found[1], 16)) for found in _NO_GLYPH.finditer(log)]
    lines += [
        (found[1] + found[2]).strip()
        for found in _OTHER_WARNING.finditer(log)
        if not _OVERFULL.match(found[0])
    ]
    return tuple(dict.fromkeys(lines))


def _missing_sign(code: int) -> str:
    sign = chr(code)
    name = unicodedata.name(sign, "a sign without a name").lower()
    return f"no font here has \u201c{sign}\u201d (U+{code:04X}, {name}); it is left blank on the page"


def result(folder: Path, order: EngravingOrder, program: Program, log: str) -> Result:
    """Gather what a good run left in its folder.

    Raises:
        EngravingError: see `collect`.
    """
    return Result(collect(folder, order), warnings(log), is_overfull(log), program)


def collect(folder: Path, order: EngravingOrder) -> Mapping[str, bytes]:
    """Read everything that was ordered.

    Args:
        folder: where LilyPond ran.
        order: what it should have written.

    Returns:
        Content by name, in the order of outputs, formats and pages. One page is `stem.ext`; several are
        `stem-1.ext`, `stem-2.ext`, and so are several MIDI files.

    Raises:
        EngravingError: a file is missing or is cut off.
    """
    files: dict[str, bytes] = {}
    for stem in order.outputs:
        for kind in order.formats:
            paths = _written(folder, stem, kind, crop=order.crop)
            if not paths:
                raise EngravingError(f"LilyPond wrote no {stem}.{kind}")
            for number, path in enumerate(paths, start=1):
                name = f"{stem}.{kind}" if len(paths) == 1 else f"{stem}-{number}.{kind}"
                files[name] = _whole(path, kind)
    return files


def is_whole(files: Mapping[str, bytes], order: EngravingOrder) -> bool:
    """Whether `collect` could have given just these files: none missing, none else, each with both its ends."""
    rest = list(files)
    for stem in order.outputs:
        for kind in order.formats:
            several = next(n for n in count(1) if rest[n - 1 : n] != [f"{stem}-{n}.{kind}"]) - 1
            taken = 1 if rest[:1] == [f"{stem}.{kind}"] else several
            if taken == 0 or several == 1 or not all(_has_ends(files[name], kind) for name in rest[:taken]):
                return False
            del rest[:taken]
    return not rest


def _written(folder: Path, stem: str, kind: str, *, crop: bool) -> list[Path]:
    """The files LilyPond wrote for one output, in order; an empty list if there is none."""
    single = folder / f"{stem}{'.cropped' if crop and kind != 'midi' else ''}.{kind}"
    found = [single] if single.is_file() else []
    if found and kind != "midi":
        return found
    pattern = f"{stem}-page{{}}.{kind}" if kind == "png" else f"{stem}-{{}}.{kind}"
    number = 1
    while (path := folder / pattern.format(number)).is_file():
        found.append(path)
        number += 1
    return found


def _whole(path: Path, kind: str) -> bytes:
    data = path.read_bytes()
    if not _has_ends(data, kind):
        raise EngravingError(f"LilyPond left {path.name} cut off ({len(data)} bytes)")
    return data


def _has_ends(data: bytes, kind: str) -> bool:
    first, last = _ENDS[kind]
    return data.startswith(first) and data.rstrip(b"\r\n ").endswith(last)
