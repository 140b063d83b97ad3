"""Every name in words: under which heading it stands, what it means, and a phrase that holds it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from generator.catalogue.rows import KeyList
from generator.catalogue.tables import Catalogue
from generator.exercise.articulation import Articulation, Stroke
from generator.exercise.figure import Figure
from generator.exercise.instrument import Instrument
from generator.exercise.one_line import about as percussion
from generator.exercise.request import RowSet
from generator.exercise.rhythm import Rhythm
from generator.exercise.routine import Routine
from generator.exercise.span import Span
from generator.theory.form import Form, Ladder
from generator.theory.pitch import NoteName

_SIZE = 7  # degrees of the forms that figures are explained on
_EACH = {"accent": "accented", "tenuto": "broad"}
_GROUPS = 3  # of a figure


@dataclass(frozen=True, slots=True)
class Explained:
    """A name in words.

    Attributes:
        name: the name.
        group: the heading it stands under.
        about: what it means.
        example: how it is asked for.
        aliases: other names for the same.
    """

    name: str
    group: str
    about: str
    example: str
    aliases: tuple[str, ...] = ()


def explained(kind: str, names: Catalogue) -> tuple[Explained, ...]:
    """The names of a kind, in the order of the catalogue.

    Args:
        kind: instruments, forms, figures, spans, rhythms, articulations, sets, routines, key lists or clauses.
        names: the catalogue.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> row = explained("figures", shared_catalogue())[2]
    >>> row.name, row.group, row.about, row.example
    ('thirds', 'intervals', '1 3, 2 4, 3 5 ...', 'C major in thirds')
    """
    rows: dict[str, Iterator[Explained]] = {
        "instruments": (_instrument(row) for row in names.instruments.rows),
        "forms": (_form(row) for row in names.forms.rows),
        "figures": (_figure(row) for row in names.figures.rows),
        "spans": (_span(row) for row in names.spans.rows),
        "rhythms": (_rhythm(row) for row in names.rhythms.rows),
        "articulations": (_articulation(row) for row in names.articulations.rows),
        "sets": (_set(row) for row in names.sets.rows),
        "routines": (_routine(row) for row in names.routines.rows),
        "key lists": (_key_list(row) for row in names.key_lists.rows),
        "clauses": _clauses(names),
    }
    return tuple(rows[kind])


def _instrument(row: Instrument) -> Explained:
    standard = row.level("standard")
    sounds = "as written" if not row.sounds.semitones else f"sounds {row.sounds.name}"
    about = f"{standard.low.name} to {standard.high.name} written, {sounds}, {'/'.join(row.clefs)} clef"
    if row.unpitched:
        about = percussion(row)
    return Explained(row.name, row.family, about, f'-i "{row.name}"', row.aliases)


def _form(row: Form) -> Explained:
    ladder = Ladder(row, NoteName.parse("C"))
    up = " ".join(ladder.pitch(degree).note.name for degree in range(row.size))
    down = " ".join(ladder.pitch(degree, "down").note.name for degree in range(row.size, 0, -1))
    about = f"on C: {up}" if row.up == row.down else f"on C: {up}, down {down}"
    on = f"{row.name} on C" if row.signature is None else f"C {row.name}"
    return Explained(row.name, row.listed, about, on, row.aliases)


def _figure(row: Figure) -> Explained:
    if row.kind == "pedal":
        about = "1 2, 1 3, 1 4 ..."
    elif row.kind == "held":
        about = "one note, held for sixteen counts"
    elif row.kind == "outward":
        about = "by turns below and above the first note, each a step further"
    elif row.kind == "chords":
        about = "I IV V I in four to six voices, one to a chair; a single player gets the voice that suits"
    elif row.apart:
        about = "the scale in two groups, the second two notes behind the first, so that they sound thirds"
    elif row.kind == "blocks":
        cells, _ = row.sized(_SIZE)
        about = ", ".join(" ".join(map(_degree, (*cell, *cell[::-1]))) for cell in cells)
    else:
        up, _ = row.sized(_SIZE)
        starts = range(0, _GROUPS * row.step, row.step)
        groups = [[start + offset for offset in up[k % len(up)]] for k, start in enumerate(starts)]
        about = ", ".join(" ".join(map(_degree, group)) for group in groups) + " ..."
    phrase = (
        f"{row.form.name} on C in {row.name}"
        if row.form and row.form.signature is None
        else f"C major in {row.name}"
    )
    if row.kind in ("held", "chords") or row.chord:
        phrase = f"{row.name} on C" if row.kind == "held" else f"C major {row.name}"
    return Explained(row.name, row.listed, about, phrase, row.aliases)


def _degree(offset: int) -> str:
    return str(offset + 1) if offset >= 0 else f"low {offset + 1 + _SIZE}"


def _span(row: Span) -> Explained:
    about = f"from the first note to the one {row.name} above it and back"
    if row.full:
        about = "from the lowest tonic up to the highest note in range, down to the lowest, and home"
    return Explained(row.name, "spans", about, f"C major, {row.name}", row.aliases)


def _rhythm(row: Rhythm) -> Explained:
    values: list[str] = []
    for slot in row.cell:
        tuplet = f"{slot.value.tuplet}[" if slot.opens and slot.value.tuplet else ""
        plain = str(slot.value).split("*")[0].split("/")[0]
        values.append(
            f"{tuplet}{'r' if slot.rest else ''}{plain}{'~' if slot.tie else ''}{']' if slot.closes else ''}"
        )
    metres = " and ".join(metre.name for metre in row.metres)
    about = f"{' '.join(values)} in {metres}" + (f", {row.feel.casefold()}" if row.feel else "")
    return Explained(row.name, row.listed, about, f"C major, {row.name}", row.aliases)


def _articulation(row: Articulation) -> Explained:
    parts = [
        "one slur up, one down" if row.whole else "",
        {"slur": "a slur over each beat", "accent": "an accent on each beat"}.get(row.by_beat, ""),
        "each note fills a bar" if row.bar else "",
        f"{row.repeats} equal notes on each" if row.repeats > 1 else "",
        " ".join(row.syllables),
        f"{row.swell[0]} up, {row.swell[-1]} down" if row.swell else "",
        " ".join(row.each),
        ", ".join(row.close),
    ]
    if row.ways:
        turns = f"{' and '.join(row.ways)} in turn" if len(row.ways) > 1 else f"all {row.ways[0]}"
        parts = [_strokes(row) if row.slurs else "", turns]
    told = [part for part in parts if part] or [_strokes(row)]
    return Explained(row.name, row.listed, "; ".join(told), f"C major, {row.name}", row.aliases)


def _strokes(row: Articulation) -> str:
    """A cell in words: "slur 2, detach 2", after what comes before the first of them."""
    if len(row.cell) == 1 and not row.lead:
        return f"each note {', '.join(_EACH.get(mark, mark) for mark in row.cell[0].marks) or 'detached'}"
    told = _in_words(row.cell)
    return f"{_in_words(row.lead)}, then {told}" if row.lead else told


def _in_words(cell: Sequence[Stroke]) -> str:
    """Runs of slurred notes and of notes begun alike."""
    runs: list[tuple[str, int]] = []
    for stroke in cell:
        within = stroke.slur in ("inside", "stop", "stop start")
        said = "slur" if stroke.slur else (" ".join(stroke.marks) or "detach")
        if runs and runs[-1][0] == said and (within or not stroke.slur):
            runs[-1] = (said, runs[-1][1] + 1)
        else:
            runs.append((said, 1))
    return ", ".join(f"{said} {count}" for said, count in runs)


def _set(row: RowSet[Any]) -> Explained:
    about = ", ".join(member.name for member in row.members)
    phrase = f"C {row.name}" if row.kind == "form" else f"C major, {row.name}"
    return Explained(row.name, f"{row.kind}s", about, phrase, row.aliases)


def _routine(row: Routine) -> Explained:
    whom = ", ".join(row.winds or row.families)
    return Explained(
        row.name, "routines", f"for {whom}; through every fingering or position", row.name, row.aliases
    )


def _key_list(row: KeyList) -> Explained:
    about = f"{'concert ' if row.concert else ''}{', '.join(key.words for key in row.keys)}"
    return Explained(
        row.name, "concert keys" if row.concert else "keys", about, f"{row.name}, major", row.aliases
    )


def _clauses(names: Catalogue) -> Iterator[Explained]:
    for clause in names.clauses:
        if clause.about:
            yield Explained(
                clause.names[0], f"{clause.kind}s", clause.about, clause.example, clause.names[1:]
            )
