"""Chorales and canons for a section: every chair one voice, all bars lined up.

Only the highest voice is doubled an octave higher and only the lowest an octave lower, so that nothing crosses and no
fifths or octaves come about between chairs.
"""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from generator.errors import DoesNotFitError
from generator.exercise.build import Recipe
from generator.exercise.chorale import VOICES, check_plain, chords_of, on_degrees
from generator.exercise.clef import in_one_clef
from generator.exercise.records import Bar, Exercise, Note
from generator.exercise.voicing import Voice, voiced
from generator.section.choir import family_of, voices_of
from generator.section.ensemble import Seat
from generator.section.rehearsal_plan import RehearsalPlan
from generator.section.together import SeatPlace
from generator.section.turns import Turn, turn
from generator.theory.duration import Value, value_of
from generator.theory.form import Ladder
from generator.theory.pitch import NoteName

_NEAR = 10.0  # half steps from the middle of a voice within which a chair counts for where it lies
_ROOM = 9
_A_DOUBLING = 5.0  # half steps that a doubling in the octave must spare
_FAMILIES = ("woodwinds", "brass", "percussion", "plucked strings", "harps", "keyboards", "voices", "strings")
_QUARTER = Fraction(1, 4)


def any_turn(recipe: Recipe, seats: Sequence[Seat], plan: RehearsalPlan) -> Turn:
    """One exercise for every seat: a line of everybody's, a chorale or a canon.

    Raises:
        DoesNotFitError: as `turn`, `chorale_turn` and `canon_turn`.
    """
    if recipe.figure.kind == "chords":
        return chorale_turn(recipe, seats, plan)
    return (canon_turn if recipe.figure.apart else turn)(recipe, seats, plan)


def chorale_turn(recipe: Recipe, seats: Sequence[Seat], plan: RehearsalPlan) -> Turn:
    """A chorale for every seat, which has its voice already.

    Args:
        recipe: a chorale in one key.
        seats: who plays, with their voices.
        plan: how keys are chosen.

    Raises:
        DoesNotFitError: the form has no such chords, or no way between the limits of this section.
    """
    check_plain(recipe.request)
    if not recipe.request.concert:
        raise DoesNotFitError(f"{recipe.phrase}: all sound one {recipe.figure.name}; name its concert key")
    if any(seat.voice < 0 for seat in seats):
        seats = [replace(s, voice=v) for s, v in zip(seats, voices_of(seats), strict=True)]
    told: list[str] = []
    lines: list[tuple[int, tuple[int, ...]]] = []

    def places(sitting: Sequence[Seat], concert: NoteName) -> tuple[SeatPlace, ...]:
        found, left_out = _places(recipe, sitting, concert)
        lines.extend(line for line, _ in found)
        told.extend(left_out)
        return tuple(place for _, place in found)

    made = turn(recipe, seats, plan, None if plan.own_range else places)
    if plan.own_range:
        return made
    words, count = _how(seats, [line for _, line in lines], recipe), 1 + max(voice for voice, _ in lines)
    names, low = VOICES[count], max(range(len(lines)), key=lambda n: lines[n][0])

    def dressed(exercise: Exercise, voice: int) -> Exercise:
        details = ", ".join(filter(None, (names[voice], exercise.details)))
        exercise = replace(exercise, details=details, reason=words)
        return _built_up(exercise, count - 1 - voice, count) if recipe.figure.apart else exercise

    return replace(
        made,
        read=tuple(dressed(e, v) for e, (v, _) in zip(made.read, lines, strict=True)),
        heard=tuple(dressed(e, v) for e, (v, _) in zip(made.heard, lines, strict=True)),
        told=tuple(told),
        rhythm=_for_drums(dressed(made.read[low], count - 1), made, "Softly under the lowest voice"),
    )


def canon_turn(recipe: Recipe, seats: Sequence[Seat], plan: RehearsalPlan) -> Turn:
    """A scale in canon: the lower half of each family begins, the upper half follows so many notes later.

    Raises:
        DoesNotFitError: as `turn`, or the notes are not of one length.
    """
    made = turn(recipe, seats, plan, chords=False)
    if plan.own_range:
        return made
    groups, apart = _halves(seats), recipe.figure.apart
    words = (
        "Lower voices begin; hold the last third and tune it",
        "Upper voices follow two notes later; hold the last third and tune it",
    )

    def entered(exercise: Exercise, group: int) -> Exercise:
        return replace(_delayed(exercise, group, apart, recipe), reason=words[group])

    return replace(
        made,
        read=tuple(entered(e, g) for e, g in zip(made.read, groups, strict=True)),
        heard=tuple(entered(e, g) for e, g in zip(made.heard, groups, strict=True)),
        rhythm=_for_drums(entered(made.read[groups.index(0)], 0), made, "With the lower voices, which begin"),
    )


def _for_drums(exercise: Exercise, made: Turn, words: str) -> Exercise:
    """What those play who read rhythm alone: that of the lowest voice, under the heading of all."""
    return replace(exercise, head=made.heading, reason=words, notes=())


Line = tuple[int, tuple[int, ...]]


def _places(
    recipe: Recipe, seats: Sequence[Seat], concert: NoteName
) -> tuple[list[tuple[Line, SeatPlace]], list[str]]:
    """For each seat its voice, the sounding degrees of it, and where it reads them; and who has none."""
    ladder = Ladder(recipe.form, concert)
    count = 1 + max(seat.voice for seat in seats)
    lines = voiced(
        chords_of(recipe.figure, ladder.size), ladder, [_range(v, count, seats) for v in range(count)]
    )
    found: list[tuple[Line, SeatPlace]] = []
    left_out: list[str] = []
    for seat in seats:
        voice, octaves = _nearest(lines, seat, ladder)
        if voice < 0:
            left_out.append(
                f"{seat.name} lacks notes of every voice ({seat.player.compass.words}), and rests there"
            )
        line = tuple(d + octaves * ladder.size for d in lines[seat.voice if voice < 0 else voice])
        own, sounds = Ladder(recipe.form, seat.tonic), seat.player.instrument.sounds.semitones
        between = (own.pitch(0).height + sounds - ladder.pitch(0).height) // 12
        fitted = on_degrees([d - between * ladder.size for d in line])
        found.append(
            ((seat.voice if voice < 0 else voice, line), SeatPlace(fitted, "rests" if voice < 0 else "whole"))
        )
    if all(place.way == "rests" for _, place in found):
        raise DoesNotFitError(f"{recipe.phrase}: {left_out[0]}; ask for another key")
    return found, left_out


def _range(voice: int, count: int, seats: Sequence[Seat]) -> Voice:
    """Where a voice lies: in the middle of those who have it, but for who doubles it an octave away."""
    own = [seat for seat in seats if seat.voice == voice] or list(seats)
    middles = sorted(seat.register[1] for seat in own)
    middle = middles[0] if voice == 0 else middles[-1] if voice == count - 1 else middles[len(middles) // 2]
    near = [seat for seat in own if abs(seat.register[1] - middle) <= _NEAR]
    low = max(seat.sounding[0] for seat in near)
    high = min(seat.sounding[1] for seat in near)
    if high - low < _ROOM:
        low, high = round(middle) - _ROOM // 2, round(middle) + _ROOM // 2
    return Voice(low, high, sum(seat.register[1] for seat in near) / len(near))


def _nearest(lines: Sequence[tuple[int, ...]], seat: Seat, ladder: Ladder) -> tuple[int, int]:
    """The voice a seat plays and by how many octaves it doubles it; its own if it can; -1 for none at all."""
    low, high = seat.sounding
    last = len(lines) - 1

    def octaves(voice: int) -> list[tuple[float, int]]:
        heights = [ladder.pitch(d).height for d in lines[voice]]
        ways = [0, *([1, 2] if voice == 0 else []), *([-1, -2] if voice == last else [])]
        middle = (min(heights) + max(heights)) / 2
        return [
            (abs(middle + 12 * k - seat.register[1]) + _A_DOUBLING * abs(k), k)
            for k in ways
            if low <= min(heights) + 12 * k and max(heights) + 12 * k <= high
        ]

    if own := octaves(seat.voice):
        return seat.voice, min(own)[1]
    others = [(off, v, k) for v in range(len(lines)) for off, k in octaves(v)]
    return min(others)[1:] if others else (-1, 0)


def _how(seats: Sequence[Seat], lines: Sequence[tuple[int, ...]], recipe: Recipe) -> str:
    """How it is rehearsed: everyone, then the families that sound every chord whole by themselves."""
    size = recipe.form.size
    chords = chords_of(recipe.figure, size)
    families: dict[int, list[tuple[int, ...]]] = {}
    for seat, line in zip(seats, lines, strict=True):
        families.setdefault(family_of(seat.player), []).append(line)
    whole = [
        _FAMILIES[family]
        for family, own in sorted(families.items())
        if family < len(_FAMILIES)
        and all(
            {t % size for t in chord} <= {line[n] % size for line in own} for n, chord in enumerate(chords)
        )
    ]
    begin = (
        "Each voice enters inside the sound below"
        if recipe.figure.apart
        else "Tune root, fifth, third; figures are cents"
    )
    if len(whole) < 2:
        return begin
    return f"{begin}. All together, then {', '.join(whole)}: each family has whole chords"


def _built_up(exercise: Exercise, rank: int, count: int) -> Exercise:
    """Each chord from the lowest voice up, a quarter apart, then held by all.

    Raises:
        DoesNotFitError: the chords are not one bar of at least four quarters each.
    """
    bars: list[Bar] = []
    # Six voices enter on four beats: neighbours share one.
    beat = rank * 4 // count if count > 4 else rank
    for bar in exercise.bars:
        if len(bar.notes) != 1 or bar.metre.name != "4/4":
            raise DoesNotFitError(
                f"{exercise.phrase}: chords that are built up need a bar of 4/4 each; ask for whole notes"
            )
        (note,) = bar.notes
        plain = replace(note, marks=(), text=None)
        rest = [Note(None, _value(beat * _QUARTER))] if beat else []
        entering = replace(plain, value=_value((4 - beat) * _QUARTER), tie=True, text=note.text)
        held = replace(plain, value=Value(1)).marked("fermata")
        bars += [replace(bar, notes=(*rest, entering)), replace(bar, notes=(held,), equivalence=None)]
    return replace(
        in_one_clef(replace(exercise, bars=tuple(bars), clefs=(exercise.clef,) * len(bars)), exercise.clef),
        unit=2,
    )


def _value(length: Fraction) -> Value:
    value = value_of(length)
    assert value is not None  # noqa: S101  # one, two, three or four quarters
    return value


def _halves(seats: Sequence[Seat]) -> list[int]:
    """Who begins, 0, and who follows, 1: the lower and the upper half of each family."""
    found = [0] * len(seats)
    families: dict[int, list[int]] = {}
    for n, seat in enumerate(seats):
        families.setdefault(family_of(seat.player), []).append(n)
    alone = [own[0] for own in families.values() if len(own) == 1]
    middle = sorted(seat.register for seat in seats)[len(seats) // 2]
    for own in families.values():
        order = sorted(own, key=lambda n: (seats[n].register, -n))
        for n in order[len(order) // 2 :] if len(order) > 1 else []:
            found[n] = 1
    for n in alone:
        found[n] = int(seats[n].register >= middle)
    return found


def _delayed(exercise: Exercise, group: int, apart: int, recipe: Recipe) -> Exercise:
    """A scale that begins some notes late and ends with the others."""
    metre, unit = exercise.bars[0].metre, recipe.rhythm.cell[0].value
    in_bar = metre.length / unit.length
    if (
        (not recipe.rhythm.per_beat and unit.length < Fraction(1, 2))
        or in_bar.denominator != 1
        or unit.tuplet
    ):
        raise DoesNotFitError(
            f"{recipe.phrase}: a canon needs notes of one length; ask for half notes or quarters"
        )
    wait, each = apart * group, int(in_bar)
    struck = [note for bar in exercise.bars for note in bar.notes if note.pitch]
    pitches = [
        note.pitch
        for before, note in zip([None, *struck], struck, strict=False)
        if not (before and before.tie)
    ]
    notes = [Note(None, unit)] * wait + [Note(p, unit) for p in pitches[: len(pitches) - wait]]
    bars: list[Bar] = []
    for start in range(0, len(notes), each):
        own = notes[start : start + each]
        silent = sum(note.pitch is None for note in own)
        if silent > 1:
            own = [Note(None, _exact(silent * unit.length, recipe)), *own[silent:]]
        if start + each >= len(notes):
            left = metre.length - sum((note.length for note in own[:-1]), Fraction(0))
            own = [*own[:-1], Note(own[-1].pitch, _exact(left, recipe)).marked("fermata")]
        bars.append(Bar(metre, tuple(own)))
    made = replace(exercise, bars=tuple(bars), clefs=(exercise.clef,) * len(bars), left=None)
    return in_one_clef(made, exercise.clef)


def _exact(length: Fraction, recipe: Recipe) -> Value:
    value = value_of(length)
    if value is None:
        raise DoesNotFitError(
            f"{recipe.phrase}: the canon does not come out in full bars; ask for half notes"
        )
    return value
