"""music21 in a child process with limits on memory and time, and its plain events as bars.

Measured: a file of 584 kB made that library take 3.5 GB and 20 s. The child gets so much and no more, starts with an
empty environment of its own, and its answer is read as data.
"""

import contextlib
import json
import os
import subprocess  # noqa: TID251
import sys
from typing import Any

from generator.errors import MachineError, RequestError, clipped
from generator.passage.records import ReadBar, ReadNote
from generator.theory.duration import Metre, Tuplet, Value
from generator.theory.pitch import LETTERS, Pitch

if sys.platform == "linux":
    import resource

SECONDS, MEMORY, LONGEST_ANSWER = 10, 1 << 30, 8 << 20
_CODE = "from generator.passage.music21_child import main; main()"
_SIGNS = {"": 0, "#": 1, "##": 2, "-": -1, "--": -2}


def read_guarded(text: bytes, format_: str) -> tuple[ReadBar, ...]:
    """The bars of a text, read by music21.

    Args:
        text: of the file; MusicXML has been looked through before.
        format_: as music21 calls it.

    Raises:
        RequestError: it cannot be read, or takes more time or memory than any passage.
        MachineError: this machine starts no program.
    """
    try:
        process = subprocess.Popen(  # noqa: S603
            [sys.executable, "-c", _CODE],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
            env=_surroundings(),
        )  # fmt: skip
    except OSError as problem:
        raise MachineError(f"the reader of scores cannot be started: {problem.strerror}") from None
    with process:
        _limited(process.pid)
        try:
            answer, _ = process.communicate(format_.encode() + b"\n" + text, timeout=SECONDS)
        except subprocess.TimeoutExpired:
            answer = b""
        finally:
            process.kill()
    return _bars_of(answer)


def _surroundings() -> dict[str, str]:
    kept = {
        name: os.environ[name]
        for name in ("PATH", "SYSTEMROOT", "PYTHONPATH", "TMPDIR")
        if name in os.environ
    }
    # Numerical libraries would start a thread, and reserve memory, for each core.
    threads = {f"{name}_NUM_THREADS": "1" for name in ("OPENBLAS", "OMP", "MKL")}
    return {
        **kept,
        **threads,
        "PYTHONDONTWRITEBYTECODE": "1",
        "HOME": os.devnull,
        "PYTHONIOENCODING": "utf-8",
    }


def _limited(pid: int) -> None:
    if sys.platform == "linux":
        for what, value in (
            (resource.RLIMIT_AS, MEMORY),
            (resource.RLIMIT_CPU, SECONDS),
            (resource.RLIMIT_FSIZE, 0),
        ):
            with contextlib.suppress(OSError, ValueError):
                resource.prlimit(pid, what, (value, value))


def _bars_of(answer: bytes) -> tuple[ReadBar, ...]:
    if not answer or len(answer) > LONGEST_ANSWER:
        raise RequestError(
            "the file takes more time or memory than any passage; export the bars you practise"
        )
    data = json.loads(answer)
    if "error" in data:
        raise RequestError(
            f"the file cannot be read as music ({clipped(data['error'], 160)}); export it again"
        )
    if len(data["bars"]) == 1 and "error" in data["bars"][0]:
        raise RequestError(f"the part {data['bars'][0]['error']}")
    return tuple(_bar(bar) for bar in data["bars"])


def _bar(bar: dict[str, Any]) -> ReadBar:
    trouble = bar.get("trouble", "")
    try:
        metre = Metre.parse(bar["time"])
    except RequestError:
        metre = Metre.parse("4/4")
        trouble = trouble or f"has the metre {clipped(bar['time'], 20)}; write it in one of up to 24 beats"
    if abs(bar["signature"]) > 7:
        trouble = trouble or "has a key of more than seven signs, or of signs of its own; write it in another"
        return ReadBar(bar["number"], metre, 0, (), trouble)
    return ReadBar(bar["number"], metre, bar["signature"], tuple(_note(n) for n in bar["notes"]), trouble)


def _note(note: dict[str, Any]) -> ReadNote:
    tuplet = Tuplet(*note["tuplet"]) if note["tuplet"] else None
    return ReadNote(
        None if note["pitch"] is None else _pitch(note["pitch"]),
        Value(note["base"], note["dots"], tuplet),
        tie=note["tie"],
        opens=note["opens"],
        closes=note["closes"],
        marks=tuple(note["marks"]),
        graces=tuple((_pitch(name), Value(base)) for name, base in note["graces"]),
        starts=note["starts"],
        stops=note["stops"],
    )


def _pitch(name: str) -> Pitch:
    """music21's ``B-4`` and ``F##5``."""
    signs = name[1:].rstrip("0123456789")
    digits = name[1 + len(signs) :]
    if signs.endswith("-") and len(signs) > 2:  # a lowered octave below 0
        raise RequestError(f"the note {name} lies below all music")
    return Pitch(LETTERS.index(name[0]), _SIGNS.get(signs, 3), int(digits))
