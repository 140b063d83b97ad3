"""A condensed score: everybody's line at concert pitch on two staves, doublings in words.

A section plays the same degrees in several octaves. The octave that reads best in the treble clef stands on the upper
staff, the one that reads best in the bass clef on the lower one; who plays where is said in words, as cues name
instruments in condensed scores (common practice; that octaves are said and not printed is ours).
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from generator.exercise.clef import in_one_clef, ledger_lines
from generator.exercise.records import Exercise, Note
from generator.pages.condensed import CondensedStaff, CondensedTurn
from generator.section.percussion import follows
from generator.section.rehearsal import ChairPart, Rehearsal
from generator.theory.pitch import NoteName

Listed = Callable[[Sequence[int]], str]
# Sounding heights by the moment a note begins.
_Heard = Mapping[Fraction, int]
_OCTAVES = {1: "an octave", 2: "two octaves", 3: "three octaves", 4: "four octaves"}
# Written C, whose sound names a transposition.
_C = NoteName(0)
_TUNING = "tuning notes"
# More voices than this cannot be told apart on two staves.
_MOST_VOICES = 6
# The octave in which all play is rather printed than one of two ledger lines fewer a note.
_MANY = 3.0


@dataclass(frozen=True, slots=True)
class _SoundingLine:
    """What one part sounds.

    Attributes:
        parts: places of the parts that sound it.
        exercise: at concert pitch, at its sounding octave.
        heard: its notes by moment.
    """

    parts: tuple[int, ...]
    exercise: Exercise
    heard: _Heard

    def octaves_over(self, other: "_SoundingLine") -> int | None:
        """By how many octaves it lies above another of the same notes; None for other notes."""
        if self.heard.keys() != other.heard.keys():
            return None
        apart = {height - other.heard[moment] for moment, height in self.heard.items()}
        return apart.pop() // 12 if len(apart) == 1 and not next(iter(apart)) % 12 else None

    def way_beside(self, other: "_SoundingLine") -> str:
        """How it differs from another line."""
        if not self.heard.keys() <= other.heard.keys():
            return "notes of their own"
        if any((height - other.heard[moment]) % 12 for moment, height in self.heard.items()):
            return "notes of their own"
        if self.exercise.phrase == _TUNING:
            return "in other octaves"
        return "changing octave" if len(self.heard) == len(other.heard) else "resting in part"


def condensed(rehearsal: Rehearsal, listed: Listed) -> tuple[CondensedTurn, ...]:
    """The turns of a rehearsal on two staves each.

    Args:
        rehearsal: parts that sound together.
        listed: names some parts, by their places.
    """
    return tuple(
        CondensedTurn(
            turn.heading, written_keys(rehearsal.parts, number), _staves(rehearsal.parts, number, listed)
        )
        for number, turn in enumerate(rehearsal.turns)
    )


def sound_together(rehearsal: Rehearsal) -> bool:
    """Whether all play in one key: not where everybody reads the same written key."""
    return all(
        len({one.key for one, part in _pitched(rehearsal.parts, number) if one.key}) <= 1
        for number in range(len(rehearsal.turns))
    )


def written_keys(parts: Sequence[ChairPart], number: int) -> str:
    """Keys as they are read, by transposition: ``in C: B-flat · in B-flat: C``; "" where nobody reads a key."""
    keys: dict[str, list[str]] = {}
    for part in parts:
        if not part.unpitched and part.keys[number]:
            name = part.player.instrument.sounds.above_name(_C).words
            found = keys.setdefault(name, [])
            if part.keys[number] not in found:
                found.append(part.keys[number])
    return " · ".join(f"in {name}: {' or '.join(found)}" for name, found in keys.items())


def _pitched(parts: Sequence[ChairPart], number: int) -> list[tuple[Exercise, ChairPart]]:
    return [(part.heard[number], part) for part in parts if not part.unpitched]


def _staves(parts: Sequence[ChairPart], number: int, listed: Listed) -> tuple[CondensedStaff, ...]:
    lines = _lines(parts, number)
    rhythm = [place for place, part in enumerate(parts) if follows(part.player.instrument)]
    beats = f"rhythm: {listed(rhythm)}" if rhythm else ""
    if not lines:
        return (CondensedStaff((parts[0].heard[number],), beats),)
    families = _families(lines)
    if 1 < len(families) <= _MOST_VOICES and families[0][0].exercise.phrase != _TUNING:
        in_step = _in_step([family[0] for family in families])
        staves = _in_voices(families, listed) if in_step else _each_alone(families, listed)
    else:  # tuning notes are called one after the other
        staves = _in_octaves(families[0], [line for family in families[1:] for line in family], listed)
    first = replace(staves[0], words="; ".join(w for w in (staves[0].words, beats) if w))
    return (first, *staves[1:])


def _lines(parts: Sequence[ChairPart], number: int) -> list[_SoundingLine]:
    """What is heard, each line once, those of the most parts first."""
    found: dict[tuple[tuple[Fraction, int], ...], _SoundingLine] = {}
    for place, part in enumerate(parts):
        if follows(part.player.instrument):
            continue
        for hand in part.heard[number].hands:
            if any(note.also for bar in hand.bars for note in bar.notes):
                continue  # the chords of a left hand are no line
            exercise = _sounding(hand, part)
            heard = _heard(exercise)
            key = tuple(heard.items())
            before = found.get(key)
            found[key] = (
                replace(before, parts=(*before.parts, place))
                if before
                else _SoundingLine((place,), exercise, heard)
            )
    return sorted((line for line in found.values() if line.heard), key=lambda line: -len(line.parts))


def _sounding(exercise: Exercise, part: ChairPart) -> Exercise:
    """An exercise at concert pitch where it sounds, also what is written by whole octaves higher or lower."""
    sounds = part.player.instrument.sounds.semitones
    octaves = sounds // 12 if sounds % 12 == 0 else 0

    def moved(note: Note) -> Note:
        # What is said to single players, to their hands and tongues, has no place here.
        pitch = note.pitch.octaves_up(octaves) if note.pitch and octaves else note.pitch
        return replace(note, pitch=pitch, finger="", text=None, syllable=None, clef="")

    bars = tuple(replace(bar, notes=tuple(map(moved, bar.notes))) for bar in exercise.bars)
    return replace(exercise, bars=bars, left=None, ottava=False, notes=(), digits="")


def _heard(exercise: Exercise) -> dict[Fraction, int]:
    place, found = Fraction(0), {}
    for bar in exercise.bars:
        for note in bar.notes:
            if note.pitch is not None and not note.grace:
                found[place] = note.pitch.height
            place += note.length
    return found


def _families(lines: Sequence[_SoundingLine]) -> list[list[_SoundingLine]]:
    """Lines by their notes, whatever the octave; the first family is that of the most parts."""
    found: list[list[_SoundingLine]] = []
    for line in lines:
        same = next((family for family in found if line.octaves_over(family[0]) is not None), None)
        if same is None:
            found.append([line])
        else:
            same.append(line)
    found.sort(key=lambda family: -sum(len(line.parts) for line in family))
    # Whoever only changes octave or rests goes with the first family, in words.
    apart = [f for f in found[1:] if any(one.way_beside(found[0][0]) == "notes of their own" for one in f)]
    beside = [line for family in found[1:] if family not in apart for line in family]
    return [[*found[0], *beside], *apart]


def _in_step(lines: Sequence[_SoundingLine]) -> bool:
    """Whether lines of several families can share stems: in each bar all that play have the same note values."""
    for bars in zip(*(line.exercise.bars for line in lines), strict=False):
        values = {
            tuple(note.length for note in bar.notes) for bar in bars if any(note.pitch for note in bar.notes)
        }
        if len(values) > 1:
            return False
    return len({len(line.exercise.bars) for line in lines}) == 1


def _cost(line: _SoundingLine, clef: str) -> int:
    return sum(ledger_lines(note, clef) for note in line.exercise.pitches)


def _in_octaves(
    family: Sequence[_SoundingLine], others: Sequence[_SoundingLine], listed: Listed
) -> tuple[CondensedStaff, ...]:
    """One family's line in the two octaves that read best; everybody else in words beside the nearer of the two."""
    model = family[0]
    whole = {line.octaves_over(model): line for line in family if line.octaves_over(model) is not None}
    octaves = sorted(octave for octave in whole if octave is not None)
    players = sum(len(line.parts) for line in whole.values())

    def weighed(octave: int, clef: str) -> float:
        """Ledger lines a note, less what it is worth that many play it."""
        line = whole[octave]
        return _cost(line, clef) / len(line.heard) - _MANY * len(line.parts) / players

    top = min(octaves, key=lambda octave: weighed(octave, "treble"))
    lower = [octave for octave in octaves if octave < top]
    low = min(lower, key=lambda octave: weighed(octave, "bass"), default=None)
    if low is None and _cost(whole[top], "bass") < _cost(whole[top], "treble"):
        staves = [(top, "bass")]
    else:
        staves = [(top, "treble"), *([(low, "bass")] if low is not None else [])]
    beside: dict[int, list[str]] = {octave: [] for octave, _ in staves}
    for octave in sorted(octaves, key=lambda one: min(abs(one - near) for near in beside)):
        near = min(beside, key=lambda one: (abs(octave - one), -one))
        names = listed(whole[octave].parts)
        if octave == near:
            beside[near].insert(0, names)
        else:
            far = _OCTAVES.get(abs(octave - near), f"{abs(octave - near)} octaves")
            beside[near].append(f"{far} {'higher' if octave > near else 'lower'}: {names}")
    for way, lines in _by_way(
        [*(one for one in family if one not in whole.values()), *others], model
    ).items():
        for octave, places in _nearer(lines, {o: whole[o] for o in beside}).items():
            beside[octave].append(f"{way}: {listed(places)}")
    return tuple(
        CondensedStaff((in_one_clef(whole[octave].exercise, clef),), "; ".join(beside[octave]))
        for octave, clef in staves
    )


def _by_way(lines: Sequence[_SoundingLine], model: _SoundingLine) -> dict[str, list[_SoundingLine]]:
    found: dict[str, list[_SoundingLine]] = {}
    for line in lines:
        found.setdefault(line.way_beside(model), []).append(line)
    return found


def _nearer(lines: Sequence[_SoundingLine], printed: Mapping[int, _SoundingLine]) -> dict[int, list[int]]:
    """Places of parts by the printed octave their line lies nearest to."""
    found: dict[int, list[int]] = {}
    for line in lines:
        middle = _middle(line)
        near = min(printed, key=lambda octave: abs(_middle(printed[octave]) - middle))
        found.setdefault(near, []).extend(line.parts)
    return found


def _middle(line: _SoundingLine) -> float:
    return sum(line.heard.values()) / len(line.heard)


def _each_alone(families: Sequence[Sequence[_SoundingLine]], listed: Listed) -> tuple[CondensedStaff, ...]:
    """Families that move at moments of their own, each on a staff of its own, the highest first."""
    found: list[tuple[float, CondensedStaff]] = []
    for family in families:
        line, clef = _easiest(family)
        words = listed(sorted({place for one in family for place in one.parts}))
        found.append((_middle(line), CondensedStaff((in_one_clef(line.exercise, clef),), words)))
    return tuple(staff for _, staff in sorted(found, key=lambda one: -one[0]))


def _easiest(family: Sequence[_SoundingLine]) -> tuple[_SoundingLine, str]:
    """The octave and the clef in which a family reads best."""
    offers = ((line, clef) for line in family for clef in ("treble", "bass"))
    return min(offers, key=lambda pair: _cost(pair[0], pair[1]))


def _in_voices(families: Sequence[Sequence[_SoundingLine]], listed: Listed) -> tuple[CondensedStaff, ...]:
    """Families with notes of their own, each once, in the octave that reads best on one of two staves."""
    chosen: dict[str, list[tuple[_SoundingLine, list[int]]]] = {"treble": [], "bass": []}
    for family in families:
        line, clef = _easiest(family)
        chosen[clef].append((line, sorted({place for one in family for place in one.parts})))
    found: list[CondensedStaff] = []
    for clef, lines in chosen.items():
        lines.sort(key=lambda one: -_middle(one[0]))
        if lines:
            words = "from the top: " if len(lines) > 1 else ""
            words += " / ".join(listed(places) for _, places in lines)
            found.append(CondensedStaff(tuple(in_one_clef(one.exercise, clef) for one, _ in lines), words))
    return tuple(found)
