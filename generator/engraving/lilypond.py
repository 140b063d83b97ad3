"""Finds LilyPond and runs it: the only module that starts programs.

A page text is a program to LilyPond, so each run gets a fresh folder that is removed afterwards, a bare
environment, an absolute program path with an argument list and no shell, a wall clock limit, and on Linux
limits on computing time, memory and file size.

LilyPond needs about a quarter of a second before it looks at the music. `start` spends that time while the
caller still works out what to print, and `Press.finish` hands the text over through standard input.
"""

import contextlib
import errno
import os
import subprocess  # noqa: TID251  # the one place
import sys
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from types import TracebackType
from typing import Self

from generator.engraving import result as verdict
from generator.engraving.limits import collection, collects, limit
from generator.engraving.process_group import ProcessGroup, end
from generator.engraving.program import Program, advice, identify, locate
from generator.engraving.result import EngravingOrder, Result
from generator.engraving.scratch_folder import LOG, scratch_folder, write
from generator.errors import EngravingError, LilyPondMissingError, MachineError
from generator.files.resources import why

MAIN = "sheet.ly"
TIMEOUT = 60.0  # seconds
LOG_LIMIT = 1 << 20  # bytes of the log that are read

# What the machine is short of when even a sound program does not start.
_SHORT = (errno.EMFILE, errno.ENFILE, errno.ENOMEM, errno.EAGAIN)

# Where fonts and their cache are (a LilyPond without a cache folder reads every font of the system each
# time and complains), and what programs on Windows cannot run without. Nothing else is passed on.
_KEPT = ("PATH", "HOME", "XDG_CACHE_HOME", "XDG_DATA_HOME", "SYSTEMROOT", "LOCALAPPDATA", "USERPROFILE")


def find(environ: Mapping[str, str] | None = None) -> Program:
    """The LilyPond to use: the one SCALEWRIGHT_LILYPOND names, else the Python package, else one on the PATH.

    Args:
        environ: the environment to look in; this process's by default.

    Raises:
        LilyPondMissingError: there is none, or it is older than 2.24.0 or does not run; says how to get one.
    """
    found = locate(os.environ if environ is None else environ)
    if isinstance(found, Program):
        return found
    try:
        run = subprocess.run(  # noqa: S603  # an absolute path, no shell
            [found, "--version"],
            capture_output=True,
            timeout=20,
            check=False,
            stdin=subprocess.DEVNULL,
            env=_environment(),
        )
    except (OSError, subprocess.TimeoutExpired) as problem:
        raise _does_not_run(found, problem) from problem
    return identify(found, run.stdout if run.returncode == 0 else b"")


def engrave(
    files: Mapping[str, str],
    main: str = MAIN,
    *,
    formats: tuple[str, ...] = ("pdf",),
    program: Program | None = None,
    outputs: tuple[str, ...] | None = None,
    timeout: float = TIMEOUT,
    resolution: int = 110,
    crop: bool = False,
    crew: ProcessGroup | None = None,
) -> Result:
    r"""Engrave one LilyPond file, given with everything it includes.

    Args:
        files: text by file name, see `write`.
        main: which of them to run.
        formats: some of pdf, png, svg, midi.
        program: what `find` gives, if already known.
        outputs: the names its `\bookOutputName`s give, if it has several books; else that of `main`.
        timeout: seconds of wall clock for each run of LilyPond.
        resolution: dots an inch, for PNG.
        crop: cut each piece down to its ink instead of setting it on paper.
        crew: stops this run together with others.

    Raises:
        LilyPondMissingError: see `find`.
        StoppedError: the crew was stopped.
        EngravingError: LilyPond failed, hung or wrote something unsound; the message says where its text and
            log are kept.
        OutputError: the folder for temporary files cannot be written.
    """
    order = EngravingOrder(formats, outputs or (Path(main).stem,), resolution, crop)
    return _engrave(files, main, order, program or find(), timeout, crew or ProcessGroup())


def _engrave(
    files: Mapping[str, str],
    main: str,
    order: EngravingOrder,
    program: Program,
    timeout: float,
    crew: ProcessGroup,
) -> Result:
    with scratch_folder(files) as folder:
        log = ""
        for options in order.passes(cairo=program.cairo):
            with contextlib.ExitStack() as stack:
                process = launch(
                    stack,
                    program,
                    folder,
                    (*options, main),
                    stdin=subprocess.DEVNULL,
                    timeout=timeout,
                    collecting=collects(files[main]),
                )
                crew.join(process)
                stack.callback(crew.leave, process)
                log += _finished(process, folder, None, timeout, crew)
        if not verdict.lacks_cairo(log):
            return verdict.result(folder, order, program, log)
    return _engrave(files, main, order, replace(program, cairo=False), timeout, crew)


def start(
    program: Program | None = None,
    *,
    files: Mapping[str, str] | None = None,
    formats: tuple[str, ...] = ("pdf",),
    timeout: float = TIMEOUT,
    resolution: int = 110,
    crop: bool = False,
) -> "Press":
    """Let LilyPond start up while the caller still builds the text. Use it in a `with` block.

    Args:
        program: what `find` gives, if already known.
        files: included files that are known already.
        formats: as for `engrave`.
        timeout: as for `engrave`, counted from `finish`.
        resolution: as for `engrave`.
        crop: as for `engrave`.

    Raises:
        LilyPondMissingError: see `find`.
    """
    return Press(
        program or find(), files or {}, EngravingOrder(formats, (Path(MAIN).stem,), resolution, crop), timeout
    )


class Press:
    """A LilyPond that starts up and waits for its text: until `finish`, `cancel` or the end of the block."""

    def __init__(
        self, program: Program, files: Mapping[str, str], order: EngravingOrder, timeout: float
    ) -> None:
        self._program, self._files, self._order, self._timeout = program, dict(files), order, timeout
        self._stack = contextlib.ExitStack()
        self._process: subprocess.Popen[bytes] | None = None
        self._folder: Path
        passes = order.passes(cairo=program.cairo)
        # Not on Windows (untried, and standard input is not binary there); nor can two runs both be early.
        if sys.platform == "win32" or len(passes) > 1:
            return
        with contextlib.ExitStack() as stack:
            self._folder = stack.enter_context(scratch_folder(files))
            arguments = (*passes[0], "-o", order.outputs[0], "-")
            self._process = launch(
                stack, program, self._folder, arguments, stdin=subprocess.PIPE, timeout=timeout
            )
            self._stack = stack.pop_all()

    @property
    def program(self) -> Program:
        """The LilyPond that waits."""
        return self._program

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, problem: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.cancel()

    def cancel(self) -> None:
        """Stop at once and leave nothing behind. Does nothing after `finish`."""
        self._stack.close()

    def finish(
        self, text: str, *, files: Mapping[str, str] | None = None, outputs: tuple[str, ...] | None = None
    ) -> Result:
        r"""Hand over the page text and wait for the pages.

        Args:
            text: the page text; messages call it `sheet.ly`.
            files: included files that were not known at the start.
            outputs: the names its `\bookOutputName`s give, if it has several books; else "sheet".

        Raises:
            EngravingError: as `engrave`.
            OutputError: as `engrave`.
        """
        process, self._process = self._process, None
        order = replace(self._order, outputs=outputs or self._order.outputs)
        added = {**(files or {}), MAIN: text}
        program = self._program
        with self._stack:
            if process is not None:
                write(self._folder, added)
                begun = "#(gc-enable) " if collects(text) else ""  # it started before its text was known
                log = _finished(process, self._folder, begun + text, self._timeout, ProcessGroup())
                if not verdict.lacks_cairo(log):
                    return verdict.result(self._folder, order, program, log)
                program = replace(program, cairo=False)
        return _engrave({**self._files, **added}, MAIN, order, program, self._timeout, ProcessGroup())


def launch(
    stack: contextlib.ExitStack,
    program: Program,
    folder: Path,
    arguments: tuple[str, ...],
    *,
    stdin: int = subprocess.PIPE,
    timeout: float | None,
    collecting: bool = False,
) -> "subprocess.Popen[bytes]":
    """Start LilyPond in a folder; leaving the stack ends it, whatever happened.

    Args:
        stack: what ends it.
        program: the program.
        folder: where it works and keeps its log.
        arguments: what to run, and how.
        stdin: as `subprocess` has it.
        timeout: seconds of wall clock it will be given; None for one that stays and bounds its own children.
        collecting: it looks for memory to use again.

    Raises:
        LilyPondMissingError: it does not run.
    """
    environment = {
        **_environment(),
        **collection(on=collecting),
        "TMPDIR": str(folder),
        "TEMP": str(folder),
        "TMP": str(folder),
    }
    with (folder / LOG).open("wb") as log:
        try:
            process = subprocess.Popen(  # noqa: S603  # an absolute path, no shell
                [program.path, "-dno-point-and-click", "--loglevel=WARNING", *arguments],
                cwd=folder,
                env=environment,
                stdin=stdin,
                # LilyPond says nothing there, but its end tells at once that it is done, where waiting for a
                # process with a time limit means asking every 50 ms.
                stdout=subprocess.PIPE,
                stderr=log,
                start_new_session=True,
                creationflags=_creation_flags(),
            )
        except OSError as problem:
            raise _does_not_run(program.path, problem) from problem
    stack.callback(stop, process)
    limit(process.pid, timeout)
    return process


def _finished(
    process: "subprocess.Popen[bytes]", folder: Path, text: str | None, timeout: float, crew: ProcessGroup
) -> str:
    """Wait for the end, and give the log if it was a good one."""
    try:
        process.communicate(None if text is None else text.encode(), timeout=timeout)
    except subprocess.TimeoutExpired:
        raise EngravingError(f"LilyPond was not done after {timeout:g} seconds and was stopped") from None
    crew.check()
    with (folder / LOG).open("rb") as file:
        log = verdict.readable(file.read(LOG_LIMIT).decode(errors="replace"))
    if not verdict.lacks_cairo(log) and (failure := verdict.failure(process.returncode, log)):
        raise EngravingError(failure)
    return log


def stop(process: "subprocess.Popen[bytes]") -> None:
    """End a LilyPond and all it started, if it still runs, and let go of its pipes."""
    end(process)
    process.wait()
    for pipe in (process.stdin, process.stdout):
        if pipe is not None:
            with contextlib.suppress(OSError):
                pipe.close()


def _environment() -> dict[str, str]:
    return {"LC_ALL": "C", **{name: os.environ[name] for name in _KEPT if name in os.environ}}


def _creation_flags() -> int:
    if sys.platform == "win32":
        return subprocess.CREATE_NEW_PROCESS_GROUP | subprocess.CREATE_NO_WINDOW
    return 0


def _does_not_run(path: Path, problem: OSError | subprocess.TimeoutExpired) -> MachineError:
    if isinstance(problem, OSError) and problem.errno in _SHORT:
        return MachineError(f"LilyPond cannot be started: {why(problem)}")
    cause = problem.strerror if isinstance(problem, OSError) else "it does not answer"
    return LilyPondMissingError(f"{path} does not run ({cause}); {advice()}")
