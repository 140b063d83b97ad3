"""A condensed score as LilyPond text."""

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from generator.engraving import music
from generator.engraving.escape import Ly, ly_string
from generator.engraving.manner import page_setup
from generator.engraving.render import filled, signs
from generator.engraving.render_score import WORDS as SCORE_WORDS
from generator.engraving.render_score import block_fields, header_fields, tick_row, unlabelled
from generator.exercise.records import Note
from generator.pages.alike import Lines
from generator.pages.condensed import BRACE, CondensedItem, CondensedScore
from generator.pages.lines import Piece

WORDS = SCORE_WORDS | {"players", "condensedLayout", "condensedSystems", "column", "vspace"}


def render_condensed(score: CondensedScore, folder: Path) -> str:
    """A condensed score as one text.

    Args:
        score: laid out.
        folder: where the templates are.

    Raises:
        EngravingError: the second lock found something no page of ours uses.
    """
    context = {
        **header_fields(score.words),
        **page_setup(score.paper),
        "blanks": ly_string(""),
        "brace": Ly(f"{BRACE * score.paper.space:.2f}"),
        "items": [_item(item) for item in score.items],
        "blocks": [block_fields(block) for block in score.tables],
    }
    return filled("condensed.ly.j2", context, folder, WORDS)


def _item(item: CondensedItem) -> dict[str, Any]:
    turn = item.turn
    written = f"Written keys: {turn.written}" if turn.written else ""
    return {
        "number": ly_string(f"{item.number}."),
        "heading": ly_string(signs(turn.heading)),
        "written": ly_string(signs(written), 400),
        "ticks": ly_string(tick_row(turn.staves[0].voices[0])),
        "marks": music.mark_line(item.lines[0][0]),
        "may_part": item.may_part,
        "metre_hidden": not turn.staves[0].voices[0].metre_shown,
        "keys_alone": any(p.signature is not None for line in item.lines[0][0] for p in line),
        "staves": [_staff(item, place) for place in range(len(turn.staves))],
    }


def _staff(item: CondensedItem, place: int) -> dict[str, Any]:
    staff, (lines, *others) = item.turn.staves[place], item.lines[place]
    if place:
        lines = unlabelled(lines)
    first = staff.voices[0]
    opening = music.opening(first.clef, first.signature, lines[0][0].metre, feel="" if place else first.feel)
    return {
        "opening": opening,
        # Under the lower of two staves; over each of more.
        "side": Ly("_" if place and len(item.turn.staves) == 2 else "^"),
        "words": ly_string(signs(staff.words), 600) if staff.words else None,
        "lines": _first_voice(lines, others, first.repeats),
        "others": [_notes_alone(other) for other in others],
    }


def _first_voice(lines: Lines, others: Sequence[Lines], repeats: int) -> list[Ly]:
    """The voice whose marks stand for all; no rest is printed in a bar in which another one plays."""
    texts = music.line_texts(lines, repeats)
    if not others:
        return list(texts)
    playing = [
        any(note.pitch for piece in bar for note in piece.notes)
        for bar in zip(*([piece for line in voice for piece in line] for voice in others), strict=True)
    ]
    return [
        Ly("s" + text[1:]) if busy and text.startswith("R1*") else text
        for text, busy in zip(texts, playing, strict=True)
    ]


def _notes_alone(lines: Lines) -> Ly:
    """Another voice on the same stems: its notes, without what the first voice prints already."""
    return Ly(" ".join(_bare(piece) for line in lines for piece in line))


def _bare(piece: Piece) -> str:
    return " ".join(_bare_note(note) for note in piece.notes if not note.grace)


def _bare_note(note: Note) -> str:
    text = music.pitch_text(note.pitch) if note.pitch else "s"
    tuplet = note.value.tuplet
    scale = f"*{tuplet.scale.numerator}/{tuplet.scale.denominator}" if tuplet else ""
    return f"{text}{note.value}{scale}{'~' if note.tie else ''}"
