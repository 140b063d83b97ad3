"""Counts what an editor of a method book would mark on 120 usual lines for each wind, string and keyboard instrument.

    python tests/exhaustive/endings.py [--instruments "flute, tuba"] [--lines 120] [--save counts.json] [--show N]

The lines are fifteen kinds of form, figure and span in eight rhythms (`KINDS`, `RHYTHMS`); each stands in one of ten
usual keys, by turns. Everything is counted on the finished bars, from outside: what begins where, how long it is, what
is slurred.

    off beat       the last note does not begin on a beat, or is shorter than a quarter
    struck twice   the last note was struck just before
    tied short     the last note is finished by a tied note shorter than a quarter
    breath         a breath mark in the last bar and a half, or between the leading note and the tonic
    crowded        a slur over the last two notes alone, or a hairpin that begins in the last bar of a line of several
    uneven         so many groups of a wide interval climb and fewer or more come down (one may be shared at the turn)
    displaced      a cell for the falling half that does not begin on a beat, of 11 x 10 pairs of cells in six spans

Exit code 1 when any count is not 0.
"""

import argparse
import itertools
import json
import sys
from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction
from pathlib import Path

ROOT = Path(__file__).parents[2]
if str(ROOT) not in sys.path:
    sys.path.insert(0, str(ROOT))

from generator.catalogue.players import player_named  # noqa: E402
from generator.catalogue.tables import shared_catalogue  # noqa: E402
from generator.errors import DoesNotFitError  # noqa: E402
from generator.exercise.articulation import Articulation  # noqa: E402
from generator.exercise.build import Player, build, fit_request, written_tonic  # noqa: E402
from generator.exercise.fit import fit  # noqa: E402
from generator.exercise.records import Exercise, Note  # noqa: E402
from generator.phrase.expand import recipes  # noqa: E402
from generator.phrase.read import parse  # noqa: E402
from generator.theory.form import Ladder  # noqa: E402
from generator.theory.pitch import NoteName  # noqa: E402

SOUNDED = frozenset({"flute", "reed", "brass", "string", "keyboard"})
KEYS = ("C", "G", "F", "D", "B-flat", "A", "E-flat", "E", "A-flat", "D-flat")
KINDS = (
    "major, one octave", "major, two octaves", "major, a twelfth", "major, full range", "harmonic minor, full range",
    "melodic minor, full range", "melodic minor, one octave", "major in thirds, one octave",
    "major in thirds, full range", "major in fourths, one octave, inside the span", "major in octaves, one octave",
    "major in groups of three, one octave", "major in groups of four, full range", "major arpeggio, two octaves",
    "dominant seventh, one octave",
)  # fmt: skip
RHYTHMS = (
    "quarters", "eighths", "triplets", "sixteenths", "sextuplets", "dotted eighth and sixteenth",
    "eighth and two sixteenths", "eighths in six-eight",
)  # fmt: skip
SHAPED = ("all slurred", "crescendo up, diminuendo down")
WIDE = (
    "fourths",
    "fifths",
    "rising fifths",
    "sixths",
    "sevenths",
    "octaves",
    "alternating octaves",
    "tenths",
)
CELLS = (
    "slur two tongue two", "tongue two slur two", "slurred pairs", "slur three tongue one", "tongue one slur three",
    "tongue one slur two tongue one", "slurs of four", "slurs of eight", "slur four tongue four",
    "tongue four slur four", "portato",
)  # fmt: skip
SPANS = ("a fifth", "a sixth", "one octave", "a twelfth", "two octaves", "full range")
WAYS = ("off beat", "struck twice", "tied short", "breath", "crowded", "uneven", "displaced")
_QUARTER = Fraction(1, 4)
_SIGNS = {None: ".", "start": "(", "stop": ")", "inside": "_", "stop start": ")("}


def lines() -> list[str]:
    """The usual lines as phrases, each in one of the usual keys."""
    keys = itertools.cycle(KEYS)
    return [f"{next(keys)} {kind}, {rhythm}" for kind in KINDS for rhythm in RHYTHMS]


def usual_players(names: Sequence[str] = ()) -> list[Player]:
    """Players at the standard level: of the instruments named, or of all that are blown, bowed or have keys."""
    rows = [
        i for i in shared_catalogue().pitched if i.wind in SOUNDED and (not names or i.name in set(names))
    ]
    return [player_named(row.name) for row in rows]


def made(phrase: str, player: Player) -> Exercise | None:
    """The exercise of a phrase, or None where the instrument has no room for it."""
    try:
        recipe = next(recipes(parse(phrase, shared_catalogue()), player))
        return build(recipe, player)
    except DoesNotFitError:
        return None


def attacks(exercise: Exercise) -> list[tuple[Fraction, tuple[Note, ...]]]:
    """Each note that is begun, with its place from the beginning and its tied pieces."""
    found: list[tuple[Fraction, list[Note]]] = []
    place, tied = Fraction(0), False
    for note in (n for bar in exercise.bars for n in bar.notes):
        if note.pitch is not None:
            if tied:
                found[-1][1].append(note)
            else:
                found.append((place, [note]))
            tied = note.tie
        place += note.length
    return [(start, tuple(pieces)) for start, pieces in found]


def beats(exercise: Exercise) -> set[Fraction]:
    """Where beats begin, from the beginning."""
    found: set[Fraction] = set()
    place = Fraction(0)
    for bar in exercise.bars:
        found |= {place + start for start in bar.metre.beat_starts}
        place += bar.metre.length
    return found


def ending_faults(exercise: Exercise) -> Iterator[str]:
    """What is wrong with how a line ends and where it breathes."""
    line = attacks(exercise)
    place, last = line[-1]
    length = sum((n.length for n in last), Fraction(0))
    if place not in beats(exercise) or length < _QUARTER:
        yield "off beat"
    if len(line) > 1 and _height(line[-2][1]) == _height(last):
        yield "struck twice"
    if len(last) > 1 and any(n.length < _QUARTER for n in last):
        yield "tied short"
    yield from breath_faults(exercise)


def breath_faults(exercise: Exercise) -> Iterator[str]:
    """Breath marks where nobody breathes; each mark once."""
    line = attacks(exercise)
    end = sum((bar.metre.length for bar in exercise.bars), Fraction(0))
    latest = end - exercise.bars[-1].metre.length * 3 / 2
    tonic = NoteName.parse(exercise.key).pitch_class
    for (place, pieces), (_, following) in itertools.pairwise(line):
        if not any("breath" in n.marks for n in pieces):
            continue
        over = place + sum((n.length for n in pieces), Fraction(0))
        leads = _height(following) % 12 == tonic and _height(following) - _height(pieces) == 1
        if over > latest or leads:
            yield "breath"


def crowding_faults(exercise: Exercise) -> Iterator[str]:
    """Slurs and hairpins that are crowded into the end."""
    line = attacks(exercise)
    if len(line) > 3:
        before, last = line[-2][1], line[-1][1]
        if before[0].slur in ("start", "stop start") and last[-1].slur == "stop":
            yield "crowded"
    end = sum((bar.metre.length for bar in exercise.bars), Fraction(0))
    begun = [place for place, pieces in line for n in pieces for sign in n.dynamic if sign in ("<", ">")]
    if len(exercise.bars) > 2 and begun and begun[-1] >= end - exercise.bars[-1].metre.length:
        yield "crowded"


def uneven(phrase: str, player: Player) -> bool:
    """Whether what was climbed does not come down: more than one group more one way than the other."""
    recipe = next(recipes(parse(phrase, shared_catalogue()), player))
    ladder = Ladder(recipe.form, written_tonic(recipe.request, recipe.form, player.instrument))
    try:
        groups = fit(fit_request(recipe, ladder, player.instrument), player.compass, recipe.spans).groups
    except DoesNotFitError:
        return False
    ways = Counter(g.way for g in groups if len(g.degrees) > 1)
    return abs(ways["up"] - ways["down"]) > 1


def displaced(exercise: Exercise, up: Articulation, down: Articulation) -> bool:
    """Whether the whole beats of the halves do not wear their cells from the first stroke on.

    Looked at are beats of four sixteenths from the beginning to the beat of the highest note, and after it; a cell
    of two beats begins on some beat after the turn and is then kept.
    """
    line = attacks(exercise)
    top = max(range(len(line)), key=lambda k: _height(line[k][1]))
    bottom = min(range(top, len(line)), key=lambda k: _height(line[k][1]))
    end = bottom if exercise.span == "full range" else len(line) - 1
    ticked: dict[int, list[tuple[int, str]]] = {}
    for index, (place, pieces) in enumerate(line):
        ticked.setdefault(int(place / _QUARTER), []).append((index, _stroke(pieces)))
    whole = [
        (beat, strokes)
        for beat, strokes in sorted(ticked.items())
        if len(strokes) == 4 and all(line[i][1][0].length == Fraction(1, 16) for i, _ in strokes)
    ]
    turn = int(line[top][0] / _QUARTER)
    rising = [(beat, [s for _, s in strokes]) for beat, strokes in whole if strokes[-1][0] < top]
    falling = [
        (beat, [s for _, s in strokes])
        for beat, strokes in whole
        if strokes[0][0] > top and strokes[-1][0] < end
    ]
    return not (_worn(rising, up, 0) and any(_worn(falling, down, turn + k) for k in (0, 1, 2)))


def _worn(found: Sequence[tuple[int, list[str]]], row: Articulation, first: int) -> bool:
    """Whether beats wear a cell that begins on a beat; beats before it are left aside."""
    cell = [_SIGNS[s.slur] + "'" * ("staccato" in s.marks) for s in row.cell]
    long = (cell * 4)[: max(4, len(cell))]
    for beat, strokes in found:
        at = 4 * (beat - first) % len(long)
        expected = long[at : at + 4]
        # Where the other half begins, a slur of several beats is cut short.
        cut = [*expected[:-1], ")"] if expected[-1] == "_" and beat == found[-1][0] else expected
        if beat >= first and strokes not in (expected, cut):
            return False
    return True


def _stroke(pieces: Sequence[Note]) -> str:
    return _SIGNS[pieces[0].slur] + "'" * ("staccato" in pieces[0].marks)


def _height(pieces: Sequence[Note]) -> int:
    assert pieces[0].pitch is not None
    return pieces[0].pitch.height


def cells_displaced(player: Player) -> list[str]:
    """Of 660 combinations - two different cells, six spans, in sixteenths - those displaced against the beat."""
    rows = shared_catalogue().articulations
    found: list[str] = []
    for up, down in itertools.permutations(CELLS, 2):
        for span in SPANS:
            phrase = f"C major, {span}, sixteenths, {up} up, {down} down"
            exercise = made(phrase, player)
            if exercise is not None and displaced(exercise, rows.find(up), rows.find(down)):
                found.append(phrase)
    return found


def faults_of(player: Player, usual: Sequence[str]) -> Iterator[tuple[str, str]]:
    """Every fault of a player's usual lines: what it is, and the phrase."""
    for number, phrase in enumerate(usual):
        exercise = made(phrase, player)
        if exercise is None:
            continue
        yield from ((fault, phrase) for fault in ending_faults(exercise))
        shaped = f"{phrase}, {SHAPED[number % 2]}"
        other = made(shaped, player)
        if other is not None:
            yield from ((fault, shaped) for fault in crowding_faults(other))
            yield from ((fault, shaped) for fault in breath_faults(other))
    for number, (figure, span) in enumerate(
        itertools.product(WIDE, ("one octave", "a twelfth", "two octaves"))
    ):
        phrase = f"{KEYS[number % len(KEYS)]} major in {figure}, {span}"
        if uneven(phrase, player):
            yield "uneven", phrase


def main() -> int:
    """Count, print a table, and say whether all is well."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--instruments", default="", help="names with commas between; all without")
    parser.add_argument("--lines", type=int, default=0, help="only so many of the usual lines")
    parser.add_argument("--save", default="", help="write the counts to this file")
    parser.add_argument("--show", type=int, default=0, help="name so many faults of each kind")
    told = parser.parse_args()
    usual = lines()[: told.lines or None]
    players = usual_players([name.strip() for name in told.instruments.split(",") if name.strip()])
    table: dict[str, Counter[str]] = {}
    shown: dict[str, list[str]] = {way: [] for way in WAYS}
    for player in players:
        counted: Counter[str] = Counter()
        for fault, phrase in faults_of(player, usual):
            counted[fault] += 1
            shown[fault].append(f"{player.instrument.name}: {phrase}")
        table[player.instrument.name] = counted
    cells = cells_displaced(player_named("flute"))
    shown["displaced"] = cells
    total = sum(table.values(), Counter({"displaced": len(cells)}))
    print(f"{len(usual)} lines x {len(players)} instruments")
    print(f"{'':32}" + "".join(f"{way:>14}" for way in WAYS))
    for name, counted in table.items():
        print(f"{name:32}" + "".join(f"{counted[way]:14}" for way in WAYS[:-1]))
    print(f"{'all':32}" + "".join(f"{total[way]:14}" for way in WAYS))
    for way, phrases in shown.items():
        for phrase in phrases[: told.show]:
            print(f"{way}: {phrase}")
    if told.save:
        counts = {name: dict(counted) for name, counted in table.items()}
        Path(told.save).write_text(json.dumps({"all": dict(total), **counts}, indent=1), encoding="utf-8")
    return int(any(total.values()))


if __name__ == "__main__":
    sys.exit(main())
