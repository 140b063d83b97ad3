"""A file or a typed line as bars, whatever it is written in."""

from dataclasses import dataclass
from pathlib import Path

from generator.errors import OutputError, RequestError, clipped, shown
from generator.exercise.instrument import Instrument
from generator.files.resources import is_there, why
from generator.files.text import clean
from generator.passage.abc_fields import AbcKey, key_of
from generator.passage.abc_reader import LONGEST_TEXT, AbcTune, read_abc
from generator.passage.brackets import bracketed
from generator.passage.guarded_xml import Guarded, fed
from generator.passage.kept import passage_of
from generator.passage.packed import MOST_BYTES, unpacked
from generator.passage.records import Passage, ReadBar, cut_out
from generator.passage.xml_scan import WantedBars, bar_range, one_part

# What music21 reads beside MusicXML: small texts, by their ending.
_OTHERS = {".krn": "humdrum", ".mei": "mei"}
_MOST_OTHER, _MOST_SPINES = 200_000, 40
_MUSICXML = (".musicxml", ".mxl", ".xml")
_MIDI = (".mid", ".midi")
_KNOWN = ".musicxml, .mxl, .xml, .abc, .mid, .krn or .mei"


@dataclass(frozen=True, slots=True)
class ReadPassage:
    """A passage as it was read, and what its source calls itself."""

    passage: Passage
    title: str = ""
    tune: AbcTune | None = None


def read_file(
    path: Path, bars: str = "", part: str = "", instrument: Instrument | None = None, key: str = ""
) -> ReadPassage:
    """The passage in a file.

    Args:
        path: .musicxml, .mxl, .xml, .abc, .mid, .krn or .mei.
        bars: range of bars as printed, like 97-99; "" for all.
        part: name or number of the part, where there are several.
        instrument: who plays: the part of that name is taken where none is said.
        key: key of a MIDI file that names none.

    Raises:
        RequestError: it cannot be drilled, with the bar and what can be done.
        OutputError: it cannot be read.
    """
    first, last = bar_range(bars) if bars else ("", "")
    ending = path.suffix.casefold()
    if ending not in (*_MUSICXML, *_MIDI, ".abc", *_OTHERS):
        raise RequestError(f"{clipped(path.name)} is no file of music that is read; export {_KNOWN}")
    data = _bytes_of(path)
    title = clean(path.stem)
    if ending == ".abc":
        tune = read_abc(_text(data, LONGEST_TEXT, path))
        return ReadPassage(passage_of(tune, first, last), tune.title or title, tune)
    if ending in _MIDI:
        from generator.passage.midi_reader import read_midi  # noqa: PLC0415  # nothing else loads it

        return ReadPassage(_cut(read_midi(data, _signature(key), part), first, last), title)
    return ReadPassage(
        _cut(_by_music21(data, ending, WantedBars(first, last, part, instrument), path), first, last), title
    )


def read_line(text: str) -> ReadPassage:
    """The passage in a typed line of ABC.

    Raises:
        RequestError: it is none, with the bar and what can be done.

    >>> print(read_line("[K:G][L:1/8] GABc").passage.name)
    bar 0
    """
    tune = read_abc(text)
    return ReadPassage(passage_of(tune), tune.title, tune)


def _cut(bars: tuple[ReadBar, ...], first: str, last: str) -> Passage:
    whole = tuple(
        ReadBar(bar.number, bar.metre, bar.signature, bracketed(bar.notes), bar.trouble) for bar in bars
    )
    return cut_out(whole, first, last)


def _by_music21(data: bytes, ending: str, wanted: WantedBars, path: Path) -> tuple[ReadBar, ...]:
    from generator.passage.guarded import read_guarded  # noqa: PLC0415  # nothing else starts it

    if ending in _OTHERS:
        text = _text(data, _MOST_OTHER, path)
        if ending == ".krn":
            _check_spines(text, path)
        else:
            fed(text.encode(), Guarded())
        return read_guarded(text.encode(), _OTHERS[ending])
    return read_guarded(one_part(unpacked(data), wanted), "musicxml")


def _check_spines(text: str, path: Path) -> None:
    """Refuse what has more columns than any score: a reader needs long for each of them."""
    widest = max(line.count("\t") + 1 for line in text.splitlines() or [""])
    if widest > _MOST_SPINES:
        raise RequestError(
            f"{clipped(path.name)} has {widest} columns; at most {_MOST_SPINES} are read, so give one part alone"
        )


def _bytes_of(path: Path) -> bytes:
    if not is_there(path):
        raise RequestError(f"there is no file {clipped(str(path), 100)}; see: scalewright list passages")
    if not path.is_file():
        raise RequestError(f"{clipped(str(path), 100)} is no file; give one with music, like part.musicxml")
    try:
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except OSError as problem:
        raise OutputError(f"cannot read {path}: {why(problem)}") from None
    if len(data) > MOST_BYTES:
        raise RequestError(f"{clipped(path.name)} is larger than 32 MB; export the one part you play")
    if not data:
        raise RequestError(f"{clipped(path.name)} is empty; export it again")
    return data


def _text(data: bytes, most: int, path: Path) -> str:
    if len(data) > most:
        raise RequestError(
            f"{clipped(path.name)} is larger than {most // 1000} kB; give the bars you practise alone"
        )
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise RequestError(f"{clipped(path.name)} is not in UTF-8; save it as UTF-8 text") from None


def _signature(key: str) -> int | None:
    if not key:
        return None
    try:
        return key_of(key, AbcKey(0, (), 0), "--key").signature
    except RequestError:
        raise RequestError(f"--key {shown(key)} is no key; write one like F, Bb or F#m") from None
