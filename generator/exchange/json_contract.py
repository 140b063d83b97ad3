"""The exercise as JSON: the contract for other programs.

Pitches are spelled ``F##4``, ``Bb3`` (C4 is middle C); ``midi`` is the sounding number. ``duration`` is the real length
as a fraction of a whole note, tuplets included, so that the durations of a bar always add up to its ``time``; a
triplet eighth is "1/12" with "tuplet": "3:2". A rest has ``"written": null``. An
exercise with ``"unpitched": true`` is percussion: its notes stand on one line, written C4, or on the five lines of a
set of drums, whose places are named as in the treble clef, and sound no pitch. ``"also"`` lists what is struck together
with a note, ``"drums"`` the parts of a set, ``"chord"`` the symbol over it.
``"left"`` holds the bars of the left hand where hands are together, ``"fingering"`` at a note the help for the hand
where it was asked for.
The exercises of a drill carry ``"recipe"``, the first bar of each of its cells ``"label"``, an incomplete bar
``"pickup": true``, a bar before which the key changes ``"signature"``, and a small note ``"grace": true`` and "0".
``"repeats": 2`` says that the whole is played twice, ``"dynamics"`` lists the signs at a note: pp to ff, < and >.
"""

import json
from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from generator.exercise.clef import DRUM_SET, PERCUSSION
from generator.exercise.kit import AT
from generator.exercise.records import Bar, Exercise, Note, Tempo
from generator.theory.interval import Interval

SCHEMA = 1


def as_json(title: str, exercises: Sequence[Exercise], sounds: Sequence[Interval]) -> str:
    """Exercises as one JSON text.

    Args:
        title: of the sheet.
        exercises: in order.
        sounds: for each exercise the interval from written to sounding pitch.
    """
    pieces = [
        (one, sounding) for e, sounding in zip(exercises, sounds, strict=True) for one in (e, *e.follows)
    ]
    data = {
        "schema": SCHEMA,
        "title": title,
        "exercises": [_exercise(n, e, s) for n, (e, s) in enumerate(pieces, 1)],
    }
    return json.dumps(data, ensure_ascii=False, indent=1) + "\n"


def _exercise(number: int, exercise: Exercise, sounds: Interval) -> dict[str, Any]:
    return {
        "number": number,
        "phrase": exercise.phrase,
        "instrument": exercise.instrument,
        "level": exercise.level,
        "key": exercise.key,
        "form": exercise.form,
        "figure": exercise.figure,
        "span": exercise.span,
        "asked_span": exercise.asked_span,
        "time": exercise.bars[0].metre.name,
        "tempo": _tempo(exercise.tempo),
        "signature": exercise.signature,
        **({"unpitched": True} if exercise.clef in PERCUSSION else {}),
        **({"repeats": exercise.repeats} if exercise.repeats > 1 else {}),
        **({"recipe": exercise.recipe} if exercise.recipe else {}),
        "bars": [
            _bar(bar, None if exercise.clef in PERCUSSION else sounds, drums=exercise.clef == DRUM_SET)
            for bar in exercise.bars
        ],
        **({"left": [_bar(bar, sounds) for bar in exercise.left.bars]} if exercise.left else {}),
    }


def _tempo(tempo: Tempo | None) -> dict[str, Any] | None:
    return None if tempo is None else {"unit": _fraction(tempo.unit.length), "bpm": tempo.bpm}


def _bar(bar: Bar, sounds: Interval | None, *, drums: bool = False) -> dict[str, Any]:
    return {
        "time": bar.metre.name,
        **({"label": bar.label} if bar.label else {}),
        **({"pickup": True} if bar.incomplete else {}),
        **({"signature": bar.signature} if bar.signature is not None else {}),
        "notes": [_note(n, sounds, drums=drums) for n in bar.notes],
    }


def _note(note: Note, sounds: Interval | None, *, drums: bool) -> dict[str, Any]:
    sounding = sounds.above(note.pitch) if note.pitch and sounds else None
    return {
        "written": note.pitch.name if note.pitch else None,
        "sounding": sounding.name if sounding else None,
        "midi": sounding.height if sounding else None,
        "duration": "0" if note.grace else _fraction(note.length),
        **({"grace": True} if note.grace else {}),
        "tuplet": str(note.value.tuplet) if note.value.tuplet else None,
        "slur": note.slur,
        "marks": list(note.marks),
        "syllable": note.syllable,
        **({"dynamics": [*note.dynamic, *note.dynamic_end]} if note.dynamic or note.dynamic_end else {}),
        "tie": note.tie,
        **({"fingering": note.finger} if note.finger else {}),
        **({"also": [pitch.name for pitch in note.also]} if note.also else {}),
        **({"drums": [AT[pitch].name for pitch in (note.pitch, *note.also)]} if drums and note.pitch else {}),
        **({"chord": note.chord.symbol} if note.chord else {}),
    }


def _fraction(length: Fraction) -> str:
    return f"{length.numerator}/{length.denominator}"
