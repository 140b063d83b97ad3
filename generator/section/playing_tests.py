"""A playing test: the same scales for every candidate, each in the complete octaves of their own notes.

Octave points: one for each complete octave up, one for each down, one for an arpeggio (Georgia Music Educators
Association, all-state audition form, middle school); a scale shorter than an octave counts as one, so that nothing is
worth nothing. Who has fewer notes than others can have fewer points, and totals are compared in per cent.
"""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from random import Random

from generator.catalogue.players import player_named
from generator.catalogue.tables import shared_catalogue
from generator.documents.playing_tests import AuditionItem, PlayingTest
from generator.documents.section import Chair, Section, called
from generator.errors import DoesNotFitError
from generator.exercise.build import Player, Recipe
from generator.exercise.one_line import on_one_line
from generator.exercise.records import Exercise
from generator.pages.rubric import DRUM_ROWS, ROWS, Column, RubricRow
from generator.section.audition import Audition, AuditionPiece, CandidatePage, dealt
from generator.section.drum_audition import ON_A_SNARE, drum_pieces
from generator.section.ensemble import Seat
from generator.section.rehearsal import shared_pages
from generator.section.rehearsal_plan import RehearsalPlan
from generator.section.turns import Turn, recipes, turn
from generator.theory.pitch import NoteName

_MOST_NAMED = 6
_OCTAVES = ("one octave", "two octaves", "three octaves", "four octaves")
# The rhythm of figures that have none of their own.
_UNSAID = "sixteenths"
_ONE_WAY = {"ascending", "descending"}


@dataclass(frozen=True, slots=True)
class AskedScale:
    """One thing that is asked for.

    Attributes:
        heading: in concert terms, without a span: everybody has their own.
        drums: as built for drums, for whoever plays its rhythm; None where that is not possible.
        pieces: as each player reads it who has the notes, with the points it can give.
        players: of whom it is asked.
    """

    heading: str
    drums: Exercise | None
    pieces: tuple[tuple[Player, Exercise, int], ...]
    players: frozenset[Player]


def audition(section: Section, plan: RehearsalPlan, chance: Random | None = None) -> Audition:
    """Make the test of a section.

    Args:
        section: who is tested; its file may say what is played and how it is marked.
        plan: phrases, if they are to go before the file's own, and how keys are chosen.
        chance: deals numbers in place of names; None leaves the names.

    Raises:
        RequestError: a phrase cannot be read, or nothing of it fits anybody.
    """
    items = tuple(AuditionItem(text) for text in plan.phrases) or section.test.items
    players = [player for player, _ in shared_pages(section)]
    scales: list[AskedScale] = []
    for item in items:
        whose = [p for p in players if item.is_for(p.instrument)]
        seats = [_seat(p) for p in whose if not p.instrument.unpitched] or [_stand_in()]
        found = recipes(item.phrase, seats, exact=False)
        scales += [_asked(recipe, item, whose, plan, section.test.octaves) for recipe in found]
    own = any(item.points for item in items)
    return assembled(section, scales, chance, own=own)


def assembled(
    section: Section, scales: Sequence[AskedScale], chance: Random | None, *, own: bool = False
) -> Audition:
    """A test of scales that are made already, with the rubric and a test for drums.

    Args:
        section: who is tested.
        scales: what is asked, in order.
        chance: deals numbers in place of names; None leaves the names.
        own: some points are the section file's own.

    Raises:
        DoesNotFitError: nobody can play any of it.
    """
    told = [
        f"left out: {s.heading}: nobody in this section has the notes"
        for s in scales
        if not s.pieces and s.players
    ]
    # A section of percussion alone has the rhythms of what others would play.
    heard = [scale.drums for scale in scales if scale.drums]
    scales = [scale for scale in scales if scale.pieces]
    pages = shared_pages(section)
    drums = {
        player: why for player, chairs in pages if (why := _drums_instead(player, chairs, scales)) is not None
    }
    told += [why for why in drums.values() if why]
    beaten = drum_pieces(heard, len(scales)) if drums else ()
    columns = [Column(n, s.heading, 0) for n, s in enumerate(scales, 1)]
    columns += [Column(n, f"Percussion: {p.exercise.head}", p.points) for n, p in enumerate(beaten, 1)]
    rows, places = _rows(section.test, [player for player, _ in pages], drums, len(columns))
    columns += [Column(0, row.name, row.best, row) for row in rows]
    made: list[CandidatePage] = []
    for (player, chairs), candidates in zip(pages, dealt(pages, chance), strict=True):
        pieces, asked = _of(player, scales)
        if player in drums:
            pieces, asked = beaten, tuple(p.column for p in beaten)
        if not pieces:
            told.append(f"left out: {_without(chairs, player)}")
            continue
        most = _most(pieces, columns, places[player])
        remark = ON_A_SNARE if player in drums else ""
        made.append(CandidatePage(player, candidates, pieces, most, (*asked, *places[player]), remark))
    if not made:
        raise DoesNotFitError("\n".join(told).replace("left out: ", "") or "the test asks nothing of anybody")
    best = _bests(columns, made)
    return Audition(best, tuple(made), (*told, *_told(made, best)), own or bool(section.test.rows))


def piece_points(exercise: Exercise) -> int:
    """Octave points of a scale as it is read, see above.

    >>> from generator import exercises, player
    >>> asked = ("C major, two octaves", "C major arpeggio", "C major, a fifth", "C major, two octaves, up")
    >>> [piece_points(exercises(one, player=player("flute"))[0]) for one in asked]
    [4, 1, 2, 2]
    """
    names = shared_catalogue()
    if names.forms.find(exercise.form).chord:
        return 1
    span = names.spans.find(exercise.span)
    octaves = max(1, span.interval.semitones // 12 if span.interval else 1)
    return octaves * (1 if _ONE_WAY & set(exercise.details.split(", ")) else 2)


def _seat(player: Player) -> Seat:
    return Seat(called(player.instrument), player, NoteName(0))


def _stand_in() -> Seat:
    """Drums read the rhythm of what a flute would play."""
    return _seat(player_named("flute"))


def _asked(
    recipe: Recipe,
    item: AuditionItem,
    whose: Sequence[Player],
    plan: RehearsalPlan,
    octaves: int,
) -> AskedScale:
    alone = replace(plan, own_range=True)
    pieces: list[tuple[Player, Exercise, int]] = []
    heading = ""
    for player in whose:
        drum = player.instrument.unpitched
        found = _own(recipe, _stand_in() if drum else _seat(player), alone, 1 if drum else octaves)
        if found is None:
            continue
        heading = heading or found.heading.replace(f", {found.read[0].span}", "", 1)
        line = on_one_line(found.drums or found.read[0], player, "") if drum else found.read[0]
        pieces.append((player, line, item.points or piece_points(found.read[0])))
    stand_in = _own(recipe, _stand_in(), alone, 1)
    heard = stand_in.drums if stand_in else None
    return AskedScale(heading or recipe.phrase, heard, tuple(pieces), frozenset(whose))


def _own(recipe: Recipe, seat: Seat, plan: RehearsalPlan, octaves: int) -> Turn | None:
    """A scale in the complete octaves a candidate has, or as much of one as there is."""
    names = list(reversed(_OCTAVES[:octaves]))
    if not recipe.span.full:
        asked = recipe.span.interval.semitones if recipe.span.interval else 0
        names = [recipe.span.name, *(n for n in names if 12 * (_OCTAVES.index(n) + 1) < asked)]
    spans = shared_catalogue().spans
    worn = (_in_usual_rhythm(recipe, seat.player), recipe)
    tries = [replace(one, span=spans.find(name), exact=True) for name in names for one in worn]
    for one in (*tries, *(replace(one, exact=False) for one in tries[-2:])):
        try:
            return turn(one, (seat,), plan)
        except DoesNotFitError:
            continue
    return None


def _in_usual_rhythm(recipe: Recipe, player: Player) -> Recipe:
    """In eighths, beginners in quarters, where nothing else is asked for (what a director would choose)."""
    asked, own = recipe.request, recipe.figure.rhythm
    # Strokes that are counted by the beat, such as double tonguing, are meant in the rhythm they come in.
    bound = any(row.rhythm or row.group or row.repeats > 1 for row in (recipe.up, recipe.down))
    if asked.rhythm or asked.metre or bound or (own and own.name != _UNSAID):
        return recipe
    name = "quarters" if player.level == "first notes" else "eighths"
    return replace(recipe, rhythm=shared_catalogue().rhythms.find(name))


def _drums_instead(player: Player, chairs: Sequence[Chair], scales: Sequence[AskedScale]) -> str | None:
    """Why somebody takes the test of the drums: "" where that needs no word, None for everybody else."""
    if player.instrument.unpitched:
        return None if any(player in scale.players for scale in scales) else ""
    if player.instrument.family != "timpani" or any(who == player for s in scales for who, *_ in s.pieces):
        return None
    return f"{_without(chairs, player)}; the test of the percussion instead"


def _rows(
    test: PlayingTest, players: Sequence[Player], drums: Collection[Player], first: int
) -> tuple[tuple[RubricRow, ...], dict[Player, tuple[int, ...]]]:
    """Rows of the rubric, and which columns they are for each player."""

    def of(player: Player) -> tuple[RubricRow, ...]:
        if not test.rows:
            return DRUM_ROWS if player in drums or player.instrument.unpitched else ROWS
        return tuple(o.row for o in test.rows if not o.instruments or player.instrument.name in o.instruments)

    rows = tuple(dict.fromkeys(row for player in players for row in of(player)))
    return rows, {player: tuple(first + rows.index(row) for row in of(player)) for player in players}


def _of(player: Player, scales: Sequence[AskedScale]) -> tuple[tuple[AuditionPiece, ...], tuple[int, ...]]:
    """What a player reads, and the columns that are asked of them."""
    pieces = tuple(
        AuditionPiece(n, exercise, points)
        for n, scale in enumerate(scales)
        for who, exercise, points in scale.pieces
        if who == player
    )
    return pieces, tuple(n for n, scale in enumerate(scales) if player in scale.players)


def _without(chairs: Sequence[Chair], player: Player) -> str:
    names = ", ".join(dict.fromkeys(chair.person or chair.name for chair in chairs[:_MOST_NAMED]))
    where = " is for it" if player.instrument.unpitched else f" lies between {player.compass.words}"
    what = "" if names == called(player.instrument) else f" ({called(player.instrument)})"
    return f"{names}{what}: nothing of the test{where}"


def _most(
    pieces: Sequence[AuditionPiece], columns: Sequence[Column], rows: Sequence[int]
) -> tuple[int | None, ...]:
    points: dict[int, int] = {piece.column: piece.points for piece in pieces}
    points |= {n: columns[n].best for n in rows}
    return tuple(points.get(n) for n in range(len(columns)))


def _bests(columns: Sequence[Column], pages: Sequence[CandidatePage]) -> tuple[Column, ...]:
    """The columns with the most points that anybody can have."""
    return tuple(
        replace(column, best=max(page.most[n] or 0 for page in pages)) for n, column in enumerate(columns)
    )


def _told(pages: Sequence[CandidatePage], columns: Sequence[Column]) -> Iterator[str]:
    """Who can have fewer points than others, and for want of what; those alike in one line."""
    found: dict[tuple[str, int], list[str]] = {}
    for page in pages:
        words = "; ".join(_fewer(page, columns))
        if words:
            total = sum(points or 0 for points in page.most)
            level = " (first notes)" if page.player.level == "first notes" else ""
            found.setdefault((words, total), []).extend(f"{c.chair.name}{level}" for c in page.candidates)
    for (words, total), names in found.items():
        who = list(dict.fromkeys(names))
        most = len(who) if len(who) < _MOST_NAMED + 2 else _MOST_NAMED
        more = f" and {len(who) - most} more" if who[most:] else ""
        yield f"{', '.join(who[:most])}{more}: for want of notes {words}; {total} points in all"
    if found:
        yield "totals are compared in per cent of what each can have"


def _fewer(page: CandidatePage, columns: Sequence[Column]) -> Iterator[str]:
    """What a page lacks."""
    found: dict[tuple[int | None, int], list[int]] = {}
    for n in page.asked:
        if columns[n].number and page.most[n] != columns[n].best:
            found.setdefault((page.most[n], columns[n].best), []).append(columns[n].number)
    for (most, best), numbers in found.items():
        which = " and ".join(filter(None, (", ".join(map(str, numbers[:-1])), str(numbers[-1]))))
        verb = "gives" if len(numbers) == 1 else "give"
        yield f"{which} left out" if most is None else f"{which} {verb} {most} instead of {best}"
