"""One exercise for a whole section: everyone in the key they read, in their octave, in the same bars.

A use case without paper; `rehearsal` gathers such turns into pages.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from generator.catalogue.names import fold
from generator.catalogue.tables import shared_catalogue
from generator.errors import DoesNotFitError, RequestError
from generator.exercise.articulation import SEVERAL, TONGUED, UNSAID, UNSLURRED, Articulation
from generator.exercise.build import Player, Recipe, build, details
from generator.exercise.chords import CHORDING, with_chords
from generator.exercise.clef import in_one_clef
from generator.exercise.fit import Fitted
from generator.exercise.harmony import ChordAt, harmony
from generator.exercise.instrument import UNPITCHED
from generator.exercise.mallets import FAMILY as MALLETS
from generator.exercise.mallets import with_sticking
from generator.exercise.possible import HARP
from generator.exercise.records import Exercise
from generator.exercise.request import Request
from generator.exercise.routine import Routine
from generator.exercise.span import OVER_THE_BREAK
from generator.phrase import expand
from generator.phrase.read import parse_all
from generator.phrase.ways import USUAL, Ways
from generator.phrase.write import canonical
from generator.section.concert_pitch import at_concert_pitch, in_clef
from generator.section.ensemble import Seat, moved
from generator.section.rehearsal_plan import RehearsalPlan
from generator.section.resting import beyond, silenced
from generator.section.together import (
    FOLDED,
    RESTS,
    TACET,
    SeatPlace,
    Way,
    explained,
    seated,
    stretched,
)
from generator.theory.form import Ladder
from generator.theory.interval import UNISON
from generator.theory.pitch import NoteName
from generator.theory.written_key import concert_name, sounding_key, written_key


@dataclass(frozen=True, slots=True)
class Turn:
    """One exercise for everyone.

    Attributes:
        heading: in concert terms, for score and title.
        read: as each seat reads it, in order.
        heard: the same at concert pitch, for a score at concert pitch.
        warm_up: it belongs to the warm-up.
        drums: the same as built for drums: their strokes in place of slurs.
        chords: at concert pitch, under the line as built for drums.
        tonic: the concert tonic those stand on, or None.
        signature: that of its key.
        drum_headings: the heading for drums, by whose words it uses.
        drum_reason: the line under it for them, where it differs.
        drum_reasons: the same for single ones of them, by the name of the instrument.
        told: who narrowed the span, and who does not play all of it.
        rhythm: what those play who read rhythm alone, where that is not the rhythm of the first seat.
        drill: the passage it drills and its bars, or "".
    """

    heading: str
    read: tuple[Exercise, ...]
    heard: tuple[Exercise, ...]
    warm_up: bool = False
    drums: Exercise | None = None
    chords: tuple[ChordAt, ...] = ()
    tonic: NoteName | None = None
    signature: int = 0
    drum_headings: tuple[tuple[str, str], ...] = ()
    drum_reason: str = ""
    drum_reasons: tuple[tuple[str, str], ...] = ()
    told: tuple[str, ...] = ()
    rhythm: Exercise | None = None
    drill: str = ""


def recipes(text: str, seats: Sequence[Seat], *, exact: bool, ways: Ways = USUAL) -> Iterator[Recipe]:
    """The single requests of a phrase, in concert keys unless it says "written".

    Args:
        text: the phrase.
        seats: who plays.
        exact: refuse a span that does not fit everyone.
        ways: what goes without saying.

    Raises:
        RequestError: the phrase cannot be read, or is not for a section.
    """
    for request in parse_all(text, shared_catalogue(), ways):
        if isinstance(request.form, Routine):
            if request.form.pattern and request.form.winds == ("brass",):
                continue  # slurs over the partials, which `flexibility` makes for everybody
            raise RequestError(
                f"{request.form.name} differ from instrument to instrument; print them with: scalewright sheet"
            )
        if request.register == OVER_THE_BREAK:
            raise RequestError(
                f"{canonical(request)}: the break lies elsewhere on each instrument; print it with: scalewright sheet"
            )
        concert = "written" not in fold(text)
        # Of two names of one sound each chair reads one.
        names = "usual" if concert and request.names == "both" else request.names
        yield from _recipes(replace(request, concert=concert, names=names), seats, exact=exact)


def _recipes(request: Request, seats: Sequence[Seat], *, exact: bool) -> Iterator[Recipe]:
    # "Every articulation" means those that everyone has; who has no slur plays along plain.
    players = list({seat.player.instrument.wind: seat.player for seat in seats}.values())
    players = [player for player in players if player.instrument.wind not in UNSLURRED] or players
    others = [{r.phrase for r in expand.recipes(request, player, exact=exact)} for player in players[1:]]
    for recipe in expand.recipes(request, players[0], exact=exact):
        if all(recipe.phrase in other for other in others):
            yield recipe


Places = Callable[[Sequence[Seat], NoteName], tuple[SeatPlace, ...]]
"""From seats with their tonics and the concert tonic to where each seat's line lies."""


def turn(
    recipe: Recipe,
    seats: Sequence[Seat],
    plan: RehearsalPlan,
    places: Places | None = None,
    *,
    chords: bool = True,
) -> Turn:
    """One exercise for every seat.

    Args:
        recipe: one key, one figure.
        seats: who plays.
        plan: how.
        places: where the lines lie that are not one line for all.
        chords: those who play chords have them over the line, as where it is one line for all.

    Raises:
        DoesNotFitError: nothing is common to all.
    """
    asked, form = recipe.request.keys[0], recipe.form
    concert = written_key(asked, form, UNISON, plan.keys)
    tonics = [
        written_key(asked, form, s.player.instrument.sounds, plan.keys)
        if recipe.request.concert
        else form.readable_tonic(asked)
        for s in seats
    ]
    seats = [replace(seat, tonic=tonic) for seat, tonic in zip(seats, tonics, strict=True)]
    placed: tuple[SeatPlace, ...] = ()
    if places is not None:
        placed = places(seats, concert)
    elif not plan.own_range:
        placed = seated(recipe, seats, plan.together, plan.levels)
    read, heard = [], []
    for number, seat in enumerate(seats):
        own, place = _for_seat(recipe, seat), placed[number] if placed else None
        sounding = concert if recipe.request.concert else _sounding(seat, recipe)
        called = concert_name(asked, form, plan.keys) if recipe.request.concert else sounding
        one, other = _for_one(own, seat, place, sounding, called)
        read.append(one)
        heard.append(other)
    drums = _for_drums(recipe, seats[0], placed[0].fitted if placed else None)
    tonic = concert if recipe.request.concert else form.readable_tonic(asked)
    model = None if plan.own_range else (drums, seats[0].tonic)
    if chords and places is None:
        read = [_own_way(one, seat, recipe, model) for one, seat in zip(read, seats, strict=True)]
        heard = [_own_way(one, seat, recipe, model) for one, seat in zip(heard, seats, strict=True)]
    return Turn(
        _heading(recipe, heard[0], read[0], _readers(seats)),
        tuple(read),
        tuple(heard),
        drums=drums,
        chords=harmony(drums.bars, form, seats[0].tonic, tonic),
        tonic=tonic,
        signature=form.signature_on(tonic),
        drum_headings=tuple((w, _heading(recipe, heard[0], read[0], w)) for w in (UNPITCHED, UNSAID)),
        told=explained(recipe, seats, placed, plan.together, plan.levels) if placed and not places else (),
    )


def _own_way(
    exercise: Exercise, seat: Seat, recipe: Recipe, model: tuple[Exercise, NoteName] | None
) -> Exercise:
    """The exercise of a keyboard, guitar or harp with its chords, that of a mallet instrument with its sticking."""
    instrument = seat.player.instrument
    if instrument.family == MALLETS:
        return with_sticking(exercise)
    if instrument.family not in CHORDING:
        return exercise
    line, tonic = model or (exercise, seat.tonic)
    chords = harmony(line.bars, recipe.form, tonic, seat.tonic)
    return with_chords(exercise, chords, hands=instrument.both_hands)


def _for_drums(recipe: Recipe, seat: Seat, fitted: Fitted | None) -> Exercise:
    """The line of a seat with the strokes that drums have for it."""
    own = _for_seat(recipe, seat, UNPITCHED)
    instrument = replace(seat.player.instrument, wind=UNPITCHED, both_hands=False)
    compass = replace(seat.player.compass, drums=())
    player = Player(instrument, seat.player.level, compass)
    if fitted:
        player = stretched(player, fitted.groups, Ladder(recipe.form, seat.tonic))
    return build(_as_read(own, seat.tonic, fitted), player, fitted)


def _for_one(
    recipe: Recipe, seat: Seat, place: SeatPlace | None, sounding: NoteName, called: NoteName
) -> tuple[Exercise, Exercise]:
    """The exercise as a seat reads it, and at concert pitch; notes beyond its compass are rests in both."""
    fitted, player = (place.fitted if place else None), seat.player
    resting = place is not None and place.way == "rests"
    if fitted and resting:
        seat = replace(seat, player=stretched(player, fitted.groups, Ladder(recipe.form, seat.tonic)))
    try:
        read = build(_as_read(recipe, seat.tonic, fitted), seat.player, fitted)
        silent = beyond(read, player.compass) if resting else ()
    except DoesNotFitError:
        if player.instrument.wind != HARP:
            raise
        seat = replace(seat, player=_without_pedals(seat.player))
        read = build(_as_read(recipe, seat.tonic, fitted), seat.player, fitted)
        silent = (True,) * len(beyond(read, player.compass))
        read = replace(read, notes=(*read.notes, TACET))
    read = _in_words(read, recipe, seat, called, place.way if place else "whole")
    heard = _heard(recipe, seat, fitted, sounding, read)
    if any(silent):
        instrument = player.instrument
        read = in_one_clef(silenced(read, silent), recipe.request.clef or instrument.clefs[0])
        return read, in_clef(silenced(heard, silent), instrument) if instrument.transposes else read
    return read, heard


def _without_pedals(player: Player) -> Player:
    """Somebody who reads what a harp reads and has a string for every note."""
    return replace(player, instrument=replace(player.instrument, wind="plucked"))


def _for_seat(recipe: Recipe, seat: Seat, wind: str = "") -> Recipe:
    """The recipe without an articulation or a clef that this instrument does not know; the notes stay."""
    wind = wind or seat.player.instrument.wind

    def known(row: Articulation) -> Articulation:
        if not row.winds or wind in row.winds:
            return row
        return Articulation("", repeats=row.repeats, bar=row.bar)

    request = recipe.request
    if request.clef and request.clef not in seat.player.instrument.clefs:
        request = replace(request, clef="")
    return replace(recipe, request=request, up=known(recipe.up), down=known(recipe.down))


def _as_read(recipe: Recipe, tonic: NoteName, fitted: Fitted | None) -> Recipe:
    request = replace(recipe.request, concert=False, keys=(tonic,))
    return replace(recipe, request=request, span=fitted.span if fitted else recipe.span)


def _sounding(seat: Seat, recipe: Recipe) -> NoteName:
    return sounding_key(seat.tonic, recipe.form, seat.player.instrument.sounds)


def _in_words(exercise: Exercise, recipe: Recipe, seat: Seat, sounding: NoteName, way: Way) -> Exercise:
    notes = tuple(
        f"Drone on concert {sounding.words}" if note.startswith("Drone on ") else note
        for note in exercise.notes
    )
    if way != "whole":
        notes += (FOLDED if way == "folded" else RESTS,)
    return replace(
        exercise,
        phrase=recipe.phrase,
        concert_heading=f"concert {sounding.words}" if seat.player.instrument.transposes else "",
        asked_span=recipe.span.name,
        notes=notes,
        drone=sounding.words if exercise.drone else "",
    )


def _heard(recipe: Recipe, seat: Seat, fitted: Fitted | None, tonic: NoteName, read: Exercise) -> Exercise:
    """The exercise at concert pitch; instruments that differ by whole octaves stay as written (common practice)."""
    instrument = seat.player.instrument
    if not instrument.transposes:
        return read
    own, concert = Ladder(recipe.form, seat.tonic), Ladder(recipe.form, tonic)
    place = None
    if fitted is not None:
        octaves = (own.pitch(0).height + instrument.sounds.semitones - concert.pitch(0).height) // 12
        place = replace(fitted, groups=moved(fitted.groups, octaves * recipe.form.size))
    recipe = replace(recipe, request=replace(recipe.request, clef=""))
    exercise = build(_as_read(recipe, tonic, fitted), at_concert_pitch(seat.player), place)
    exercise = replace(exercise, phrase=read.phrase, concert_heading="", notes=read.notes)
    return in_clef(exercise, instrument)


def _readers(seats: Sequence[Seat]) -> str:
    """How the instruments are sounded, where that is one way."""
    winds = {seat.player.instrument.wind for seat in seats}
    return winds.pop() if len(winds) == 1 or winds <= TONGUED else SEVERAL


def _heading(recipe: Recipe, heard: Exercise, read: Exercise, wind: str) -> str:
    """In concert terms, in the words of whoever reads it."""
    told = read if not recipe.request.concert else heard
    heading = replace(told, details=details(recipe, told.span, wind)).heading
    if not recipe.request.concert:
        return f"Written {heading[0].upper()}{heading[1:]}"
    if recipe.form.heading.startswith("{key}"):
        return f"Concert {heading}"
    head = recipe.form.heading_on(NoteName.parse(told.key))
    if head.endswith(")"):
        return heading.replace(head, f"{head[:-1]}, concert)", 1)
    return f"{heading} (concert)"
