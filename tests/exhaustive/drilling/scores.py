"""Bars of real MusicXML files as two readers see them: ours, which is music21 behind a first look, and partitura.

Every MusicXML file that the packages music21 and partitura carry is asked for bars a to b of one of its parts, three
times at the most, until it gives a passage. What is compared: the place, length and spelled pitch of every note that
is begun, the slurs over it, and the key signature. What is refused, and what the two read otherwise, is looked for in
the file's own text with the standard library: two notes that say chord, two voices or staves, an ending; a value that
contradicts its duration, a tie that is begun and not ended. So every refusal and difference is shown by a third means.
"""

import json
import re
import warnings
import zipfile
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from fractions import Fraction
from importlib.util import find_spec
from itertools import pairwise
from pathlib import Path
from random import Random
from typing import Any
from xml.etree.ElementTree import Element, fromstring

from generator.errors import GeneratorError
from generator.passage.guarded import _bars_of
from generator.passage.records import Passage, ReadBar
from generator.passage.source import read_file

_TRIES = 3
_LENGTHS = (1, 1, 2, 2, 3, 4, 8)
_NUMBER = re.compile(r"\d{1,5}[a-z]?")

Row = tuple[str, str, str, bool]
Tone = tuple[Fraction, Fraction, str, int, int]
"""Onset and length in quarters from the first bar on, letter, octave and sign of a note that is begun."""


@dataclass(frozen=True, slots=True)
class Reading:
    """What came of a file.

    Attributes:
        kind: same, differs, refused, second reader failed, or crash.
        group: what a difference or refusal is about.
        told: a line about it.
    """

    kind: str
    group: str
    told: str


@dataclass(frozen=True, slots=True)
class Asked:
    """A range of bars: part by place and identity, first and last bar by place and printed number."""

    part: int
    identity: str
    start: int
    stop: int
    bars: str


def score_files() -> list[Path]:
    """Every MusicXML file of the two packages."""
    found = [
        path
        for name in ("music21", "partitura")
        for ending in ("*.mxl", "*.musicxml", "*.xml")
        for path in Path(str(_found(name))).parent.rglob(ending)
    ]
    return sorted(path for path in found if "META-INF" not in path.parts)


def _found(name: str) -> str | None:
    found = find_spec(name)
    assert found is not None
    return found.origin


def compared(path: Path) -> Reading:
    """One file read twice; never raises."""
    try:
        parts = _parts(path)
    except Exception as error:
        parts = []
        fault = f"{type(error).__name__}: {error}"
    if not parts:
        return _refused_whole(path, "the standard library reads no part either" if not parts else fault)
    reading = Reading("refused", "no bar with a number of its own", path.name)
    for asked in _ranges(parts, Random(path.name)):
        reading = _read_twice(path, asked, parts[asked.part][1])
        if reading.kind != "refused" or not reading.group.startswith("bar: "):
            return reading
    return reading


def _refused_whole(path: Path, why: str) -> Reading:
    try:
        read_file(path, "", "1")
    except GeneratorError as error:
        return Reading("refused", why, f"{path.name}: {error}")
    except Exception as error:
        return Reading("crash", type(error).__name__, f"{path.name}: {error}")
    return Reading("differs", "read, though the standard library finds no part", path.name)


def _parts(path: Path) -> list[tuple[str, list[Element]]]:
    """Identity and measures of each part, by the standard library alone."""
    text = path.read_bytes()
    if zipfile.is_zipfile(path):
        with zipfile.ZipFile(path) as archive:
            names = [
                n for n in archive.namelist() if n.endswith((".xml", ".musicxml")) and "META-INF" not in n
            ]
            # Parts of their own lie beside the score; the score is the file that is named first.
            text = archive.read(names[0])
    root = fromstring(text)  # noqa: S314  # the files of two packages
    return [(part.get("id", ""), part.findall("measure")) for part in root.findall("part")]


def _ranges(parts: list[tuple[str, list[Element]]], chance: Random) -> Iterator[Asked]:
    """Some ranges to ask for, the same ones each time; such as a number names without doubt."""
    for _ in range(_TRIES):
        at = chance.randrange(len(parts))
        identity, measures = parts[at]
        numbers = [(measure.get("number") or "").strip() for measure in measures]
        plain = [re.sub(r"^[Xx]?0*(\d+).*", r"\1", number) for number in numbers]
        usable = [
            k
            for k, number in enumerate(numbers)
            if _NUMBER.fullmatch(number.casefold()) and plain.count(plain[k]) == 1
        ]
        if not usable:
            continue
        start = chance.choice(usable)
        stop = min(start + chance.choice(_LENGTHS) - 1, len(numbers) - 1)
        while stop not in usable and stop > start:
            stop -= 1
        bars = numbers[start] if start == stop else f"{numbers[start]}-{numbers[stop]}"
        yield Asked(at, identity, start, stop, bars)


def _read_twice(path: Path, asked: Asked, measures: list[Element]) -> Reading:
    name = f"{path.name}, part {asked.part + 1}, bars {asked.bars}"
    try:
        passage = read_file(path, asked.bars, str(asked.part + 1)).passage
    except GeneratorError as error:
        return _refusal(name, str(error), measures[asked.start : asked.stop + 1])
    except Exception as error:
        return Reading("crash", type(error).__name__, f"{name}: {error}")
    try:
        theirs = second_reading(path, asked)
    except Exception as error:
        same = plain_reading(measures, asked).tones == _ours(passage)
        told = f"{name}: {type(error).__name__} in partitura"
        if same:
            return Reading("explained", "partitura cannot read it, and the durations in the text agree", told)
        return Reading("second reader failed", type(error).__name__, told)
    return _judged(name, passage, theirs, measures, asked)


# ---- The second reader -----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class SecondReading:
    """Bars as partitura has them."""

    tones: list[Tone]
    slurred: dict[tuple[Fraction, int], bool]
    signature: int | None


def second_reading(path: Path, asked: Asked) -> SecondReading:
    """The bars of a part by partitura."""
    import partitura

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        score = partitura.load_musicxml(str(path), ignore_invisible_objects=False)
        part: Any = next(one for one in score.parts if one.id == asked.identity)
        measures = sorted(part.iter_all(partitura.score.Measure), key=lambda one: one.start.t)
        begin, end = measures[asked.start].start, measures[asked.stop].end
        zero = _quarters(part, begin.t)
        tones, slurred = [], {}
        slurs = [
            (one.start_note.start.t, one.end_note.start.t)
            for one in part.iter_all(partitura.score.Slur)
            if one.start_note is not None and one.end_note is not None
        ]
        for note in part.iter_all(partitura.score.Note, begin, end):
            if isinstance(note, partitura.score.GraceNote):
                continue
            before = note.tie_prev
            if before is not None and before.start.t >= begin.t:
                continue
            onset, stop, last = _quarters(part, note.start.t) - zero, note.end.t, note
            while last.tie_next is not None and last.tie_next.start.t < end.t:
                last = last.tie_next
                stop = last.end.t
            length = _quarters(part, stop) - zero - onset
            place = note.start.t
            if onset:
                under = any(first < place <= stop_ for first, stop_ in slurs)
                slurred[onset, note.midi_pitch] = under
            tones.append((onset, length, note.step, note.octave, int(note.alter or 0)))
        signature = None
        signs = [one for one in part.iter_all(partitura.score.KeySignature) if one.start.t <= begin.t]
        if signs:
            signature = max(signs, key=lambda one: one.start.t).fifths
        return SecondReading(sorted(tones), slurred, signature)


def _quarters(part: Any, place: int) -> Fraction:
    return Fraction(float(part.quarter_map(place))).limit_denominator(5000)


def _ours(passage: Passage) -> list[Tone]:
    return sorted(
        (note.onset * 4, note.length * 4, "CDEFGAB"[note.pitch.step], note.pitch.octave, note.pitch.alter)
        for note in passage.attacks
        if note.pitch is not None
    )


def _judged(
    name: str, passage: Passage, theirs: SecondReading, measures: list[Element], asked: Asked
) -> Reading:
    ours = _ours(passage)
    if ours != theirs.tones:
        odd = [(a, b) for a, b in zip(ours, theirs.tones, strict=False) if a != b][:1]
        told = f"{name}: {len(ours)} notes here, {len(theirs.tones)} by partitura; {_shown(odd)}"
        if any(_contradicts(note, unit) for _, note, unit in _timed(measures, asked)):
            return Reading("explained", "a value and a duration of the file contradict each other", told)
        if _half_tied(measures[asked.start : asked.stop + 1]):
            return Reading("explained", "a tie that the file begins and does not end: joined here", told)
        pitches = [tone[2:] for tone in ours] == [tone[2:] for tone in theirs.tones]
        return Reading("differs", "places or lengths" if pitches else "pitches or number of notes", told)
    if theirs.signature is not None and passage.bars[0].signature != theirs.signature:
        told = f"{name}: {passage.bars[0].signature} here, {theirs.signature} by partitura"
        return Reading("differs", "key signature", told)
    slurred = {(n.onset * 4, n.pitch.height): n.slurred for n in passage.attacks if n.pitch}
    odd_slurs = [place for place, told in theirs.slurred.items() if slurred.get(place) != told]
    if odd_slurs:
        return Reading(
            "slurs differ", "", f"{name}: at {', '.join(str(place) for place, _ in odd_slurs[:4])}"
        )
    return Reading("same", "", name)


# ---- The third means: the text of the file ---------------------------------------------------------------


def _timed(measures: list[Element], asked: Asked) -> Iterator[tuple[int, Element, Fraction]]:
    """The notes and rests of the wanted bars: number of the bar, and how long one division is in quarters."""
    divisions = 1
    for number, measure in enumerate(measures[: asked.stop + 1]):
        for element in measure:
            divisions = int(element.findtext("divisions") or divisions)
            if element.tag == "note" and number >= asked.start:
                yield number, element, Fraction(1, divisions)


def plain_reading(measures: list[Element], asked: Asked) -> SecondReading:
    """The bars as their durations stand in the text one after another; for one voice without chords."""
    tones: list[Tone] = []
    place, tied = Fraction(0), False
    for _, note, unit in _timed(measures, asked):
        if note.find("grace") is not None:
            continue
        length = int(note.findtext("duration") or 0) * unit
        if note.find("pitch") is not None:
            kinds = {tie.get("type") for tie in note.findall("tie")}
            if tied and "stop" in kinds:
                onset, before, *pitch = tones[-1]
                tones[-1] = (onset, before + length, *pitch)  # type: ignore[arg-type]
            else:
                letter, octave = note.findtext("pitch/step") or "", int(note.findtext("pitch/octave") or 0)
                sign = int(float(note.findtext("pitch/alter") or 0))
                tones.append((place, length, letter, octave, sign))
            tied = "start" in kinds
        place += length
    return SecondReading(tones, {}, None)


_QUARTERS = {
    "whole": 4,
    "half": 2,
    "quarter": 1,
    "eighth": Fraction(1, 2),
    "16th": Fraction(1, 4),
    "32nd": Fraction(1, 8),
}


def _contradicts(note: Element, unit: Fraction) -> bool:
    """Whether a note's printed value is another one than its duration."""
    kind = _QUARTERS.get(note.findtext("type") or "")
    if kind is None or note.find("duration") is None:
        return False
    written = Fraction(kind) * (2 - Fraction(1, 2 ** len(note.findall("dot"))))
    ratio = Fraction(
        int(note.findtext("time-modification/normal-notes") or 1),
        int(note.findtext("time-modification/actual-notes") or 1),
    )
    return written * ratio != int(note.findtext("duration") or 0) * unit


def _half_tied(measures: list[Element]) -> bool:
    """Whether a tie begins on a note and none ends on the next one of its pitch."""
    notes = [
        note for measure in measures for note in measure.findall("note") if note.find("pitch") is not None
    ]
    kinds = [{tie.get("type") for tie in note.findall("tie")} for note in notes]
    return any("start" in one and "stop" not in after for one, after in pairwise(kinds))


def _shown(odd: list[tuple[Tone, Tone]]) -> str:
    return "; ".join(f"{_tone(a)} / {_tone(b)}" for a, b in odd) or "one list is longer"


def _tone(tone: Tone) -> str:
    onset, length, letter, octave, sign = tone
    return f"{letter}{'#' * sign if sign > 0 else 'b' * -sign}{octave} at {onset} for {length}"


# ---- Refusals, looked for in the text of the file ----------------------------------------------------------


def _refusal(name: str, said: str, wanted: list[Element]) -> Reading:
    told = f"{name}: {said}"
    if "\n" in said or len(said) > 400:
        return Reading("crash", "a refusal of several lines", told)
    for words, group, shows in _EVIDENCE:
        if words in said:
            found = re.match(r"(?:there is no note in )?bars? (\w+)", said)
            if found is None and "the part" not in said:
                return Reading("crash", "a refusal without its bar", told)
            bars = [one for one in wanted if found is None or _same(one, found[1])] or wanted
            if any(shows(bar) for bar in bars):
                return Reading("refused", group, told)
            return Reading("differs", f"refused, and not to be seen in the file: {words}", told)
    return Reading("refused", "other", told)


def _same(measure: Element, number: str) -> bool:
    plain = re.sub(r"^[Xx]?0*", "", (measure.get("number") or "").strip())
    return plain == number or plain.rstrip("abcdefghijklmnopqrstuvwxyz") == number


def _chord(bar: Element) -> bool:
    return bar.find("note/chord") is not None


def _voices(bar: Element) -> bool:
    """Two voices with notes, or time that is counted back to."""
    voices = {note.findtext("voice") for note in bar.findall("note") if note.find("pitch") is not None}
    return len(voices) > 1 or bar.find("backup") is not None


def _staves(bar: Element) -> bool:
    return bar.find("note/staff") is not None or bar.find("backup") is not None


def _unpitched(bar: Element) -> bool:
    notes = bar.findall("note")
    return any(note.find("pitch") is None and note.find("rest") is None for note in notes)


def _quarter_tones(bar: Element) -> bool:
    alters = [float(one.text or 0) for one in bar.iter("alter")]
    signs = {one.text for one in bar.iter("accidental")}
    return any(one != int(one) for one in alters) or any("quarter" in (s or "") for s in signs)


def _small(bar: Element) -> bool:
    types = {one.text for one in bar.iter("type")} & {"128th", "256th", "512th", "1024th"}
    nested = any(len(note.findall("notations/tuplet")) > 1 for note in bar.findall("note"))
    dots = any(len(note.findall("dot")) > 2 for note in bar.findall("note"))
    return bool(types) or nested or dots or bar.find("note/time-modification") is not None


def _ending(bar: Element) -> bool:
    return bar.find("barline/ending") is not None


def _overfull(bar: Element) -> bool:
    return bar.find("note/duration") is not None


def _silent(bar: Element) -> bool:
    return all(note.find("pitch") is None or note.find("grace") is not None for note in bar.findall("note"))


_EVIDENCE = (
    ("has a chord", "bar: a chord", _chord),
    ("has two voices", "bar: two voices", _voices),
    ("staves", "bar: several staves", _staves),
    ("without a pitch", "bar: notes without a pitch", _unpitched),
    ("quarter tones", "bar: quarter tones", _quarter_tones),
    ("triple sign", "bar: a triple sign", _quarter_tones),
    ("rhythm that cannot be read", "bar: nested tuplets or very short notes", _small),
    ("first or second ending", "bar: an ending", _ending),
    ("more than its", "bar: holds more than its metre", _overfull),
    ("there is no note", "bar: rests alone", _silent),
)


# ---- music21 in this process, for many files ----------------------------------------------------------------


def within_this_process() -> None:
    """Let the same reader work here, for starting it anew costs half a second a file."""
    from generator.passage import guarded, music21_child

    def read(text: bytes, format_: str) -> tuple[ReadBar, ...]:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            try:
                found: dict[str, Any] = {"bars": music21_child._parsed(text, format_)}
            except Exception as error:
                found = {"error": " ".join(str(error).split())[:200] or type(error).__name__}
        return _bars_of(json.dumps(found).encode())

    guarded.read_guarded = read


def files(most: int) -> Row:
    """The row of the table: every file, in two processes; what is not the same is printed, in groups."""
    chosen = score_files()
    Random(2).shuffle(chosen)
    with ProcessPoolExecutor(2, initializer=within_this_process) as pool:
        found = list(pool.map(compared, chosen[:most], chunksize=4))
    for one in sorted(found, key=lambda one: (one.kind, one.group, one.told)):
        if one.kind != "same":
            print(f"    [{one.kind}: {one.group}] {one.told}")
    kinds = Counter(one.kind for one in found)
    good = set(kinds) <= {"same", "explained", "refused"}
    told = ", ".join(f"{number} {kind}" for kind, number in kinds.most_common())
    return f"{len(found)} MusicXML files, bars a to b", "no crash, every difference explained", told, good
