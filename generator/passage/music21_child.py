"""Reads one file with music21, in a process of its own, and prints plain events as JSON.

Standard input holds a line with the format and then the text; nothing is read from or written to a disk, and no
pickle of the parsed file is kept, because music21 keeps them for files only.
"""

import json
import sys
from typing import Any

_MARKS = {
    "Staccato": "staccato", "Staccatissimo": "staccato", "Tenuto": "tenuto", "Accent": "accent", "Spiccato": "staccato",
    "StrongAccent": "marcato", "BreathMark": "breath", "Fermata": "fermata", "Trill": "trill", "Turn": "turn",
    "InvertedTurn": "turn", "Mordent": "mordent", "InvertedMordent": "inverted mordent",
}  # fmt: skip
_ODD_KEY = 99  # a signature of signs of its own: more than any key has
_BASES = {"whole": 1, "half": 2, "quarter": 4, "eighth": 8, "16th": 16, "32nd": 32, "64th": 64}


def main() -> None:
    """Read, parse, print. A fault is printed as JSON too."""
    head, _, text = sys.stdin.buffer.read().partition(b"\n")
    try:
        found: dict[str, Any] = {"bars": _parsed(text, head.decode())}
    except MemoryError:
        found = {"error": "it needs more memory than any passage"}
    except Exception as error:  # whatever the library raises on a stranger's file
        found = {"error": " ".join(str(error).split())[:200] or type(error).__name__}
    sys.stdout.write(json.dumps(found))


def _parsed(text: bytes, format_: str) -> list[dict[str, Any]]:
    from music21 import converter  # noqa: PLC0415, TID251

    if format_ == "musicxml":
        score: Any = converter.parseData(text, format="musicxml", forceSource=True)
    else:
        score = converter.parseData(text.decode("utf-8", "replace"), format=format_, forceSource=True)
    parts = list(score.parts) if score.hasPartLikeStreams() else [score]
    if len(parts) > 1:
        parts = [part for part in parts if part.recurse().notes] or parts
    if len(parts) > 1:
        return [{"error": f"has {len(parts)} staves; save the one you play as a part of its own"}]
    return _bars(parts[0])


def _bars(part: Any) -> list[dict[str, Any]]:  # noqa: ANN401
    from music21 import key, meter, spanner, stream  # noqa: PLC0415, TID251

    opened: dict[int, int] = {}
    closed: dict[int, int] = {}
    for slur in part.recurse().getElementsByClass(spanner.Slur):
        notes = slur.getSpannedElements()
        if len(notes) > 1:
            opened[id(notes[0])] = opened.get(id(notes[0]), 0) + 1
            closed[id(notes[-1])] = closed.get(id(notes[-1]), 0) + 1
    endings = {
        id(bar)
        for one in part.recurse().getElementsByClass(spanner.RepeatBracket)
        for bar in one.getSpannedElements()
    }
    time, sharps = "4/4", 0
    found = []
    measures = list(part.getElementsByClass(stream.Measure)) or list(
        part.makeMeasures().getElementsByClass(stream.Measure)
    )
    for measure in measures:
        for one in measure.recurse().getElementsByClass(meter.TimeSignature):
            if one.offset == 0:
                time = _time(one)
        for one in measure.recurse().getElementsByClass(key.KeySignature):
            if one.offset == 0:
                sharps = one.sharps if one.sharps is not None else _ODD_KEY
        bar = {"number": f"{measure.number}{measure.numberSuffix or ''}", "time": time, "signature": sharps}
        if id(measure) in endings:
            bar["trouble"] = "has a first or second ending; write out the one you play"
        found.append(bar | _content(measure, opened, closed))
    return found


def _time(time: Any) -> str:  # noqa: ANN401
    """``4/4``, or with groups where the file has several: 3/8 and 2/4 are ``7/8 3+2+2``."""
    pieces = [piece.split("/") for piece in str(time.ratioString).split("+")]
    if len(pieces) < 2 or any(len(piece) != 2 for piece in pieces):
        return str(time.ratioString)
    unit = max(int(bottom) for _, bottom in pieces)
    groups: list[int] = []
    for top, bottom in pieces:
        size = unit // int(bottom)
        groups += [int(top)] if size == 1 else [size] * int(top)
    return f"{sum(groups)}/{unit} {'+'.join(map(str, groups))}"


def _content(measure: Any, opened: dict[int, int], closed: dict[int, int]) -> dict[str, Any]:  # noqa: ANN401
    voices = [voice for voice in measure.voices if voice.notes]
    if len(voices) > 1:
        return {"notes": [], "trouble": "has two voices; save the one you play as a part of its own"}
    source = voices[0] if voices else (measure.voices[0] if measure.voices else measure)
    notes: list[dict[str, Any]] = []
    graces: list[list[Any]] = []
    for element in source.notesAndRests:
        if "Harmony" in element.classes or (element.isRest and element.style.hideObjectOnPrint):
            if element.isRest:
                notes += _hidden(element)
            continue
        if trouble := _trouble(element):
            return {"notes": [], "trouble": trouble}
        if element.duration.isGrace:
            graces.append([element.pitch.nameWithOctave, _BASES.get(element.duration.type, 8)])
            continue
        pieces = _pieces(element, graces, opened, closed)
        if pieces is None:
            return {
                "notes": [],
                "trouble": "has a rhythm that cannot be read: nested tuplets, or notes under a 64th",
            }
        notes += pieces
        graces = []
    return {"notes": notes}


def _hidden(element: Any) -> list[dict[str, Any]]:  # noqa: ANN401
    return _pieces(element, [], {}, {}) or []


def _trouble(element: Any) -> str:  # noqa: ANN401
    if element.isChord:
        return "has a chord; a drill is made of one note at a time, so write out the one you play"
    if not element.isRest and not hasattr(element, "pitch"):
        return "has notes without a pitch; a drill needs pitches"
    if not element.isRest:
        sign = element.pitch.accidental
        if sign is not None and (sign.alter != int(sign.alter) or abs(sign.alter) > 2):
            raise_text = (
                "has a note of quarter tones" if sign.alter != int(sign.alter) else "has a triple sign"
            )
            return f"{raise_text}, which cannot be drilled yet; write it without"
    return ""


def _pieces(
    element: Any,  # noqa: ANN401
    graces: list[list[Any]],
    opened: dict[int, int],
    closed: dict[int, int],
) -> list[dict[str, Any]] | None:
    """The written values of a note, tied; None where they cannot be read."""
    tuplets = element.duration.tuplets
    values = _values(element.duration.components)
    if len(tuplets) > 1 or not values:
        return None
    rest = element.isRest
    tied = not rest and element.tie is not None and element.tie.type in ("start", "continue")
    signs = () if rest else (*element.articulations, *element.expressions)
    marks = sorted({_MARKS[sign.classes[0]] for sign in signs if sign.classes[0] in _MARKS})
    kind = tuplets[0].type if tuplets else None
    last = len(values) - 1
    return [
        {
            "pitch": None if rest else element.pitch.nameWithOctave,
            "base": base,
            "dots": dots,
            "tuplet": [tuplets[0].numberNotesActual, tuplets[0].numberNotesNormal] if tuplets else None,
            "tie": not rest and (tied or place < last),
            "opens": 0 if place else opened.get(id(element), 0),
            "closes": closed.get(id(element), 0) if place == last else 0,
            "marks": [] if place else marks,
            "graces": [] if place else graces,
            "starts": kind in ("start", "startStop") and not place,
            "stops": kind in ("stop", "startStop") and place == last,
        }
        for place, (base, dots) in enumerate(values)
    ]


def _values(components: Any) -> list[tuple[int, int]]:  # noqa: ANN401
    """Base and dots of each written value; none where one cannot be written here."""
    values: list[tuple[int, int]] = []
    for one in components:
        wholes = {"breve": 2, "longa": 4}.get(one.type, 0)
        if (one.type not in _BASES and not wholes) or one.dots > (0 if wholes else 2):
            return []
        values += [(1, 0)] * wholes or [(_BASES[one.type], one.dots)]
    return values


if __name__ == "__main__":
    main()
