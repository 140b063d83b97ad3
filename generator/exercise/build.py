"""Building: a single request, its rows and a player make one exercise.

The steps are those of a copyist: write the key for the instrument, lay the figure out inside the compass,
give the notes their rhythm and articulation, and cut them into full bars.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from generator.errors import DoesNotFitError
from generator.exercise.articulation import TONGUED, UNSLURRED, Articulation
from generator.exercise.breath import BREATHING, breath_length
from generator.exercise.chorale import check_plain, chords_of, in_chords, own_voice
from generator.exercise.clef import clefs_of, in_clefs, wants_ottava
from generator.exercise.figure import BROKEN, Figure
from generator.exercise.fit import FitRequest, Fitted, fit
from generator.exercise.hands import with_left_hand
from generator.exercise.instrument import Compass, Instrument
from generator.exercise.laying import Group
from generator.exercise.notate import LineTone, Notation, notated
from generator.exercise.playing import ECHO, as_played, check_playing
from generator.exercise.possible import HARP, check_possible
from generator.exercise.records import Bar, Exercise
from generator.exercise.request import ORDINALS, TIMES, Choice, Request, RowSet, row_name
from generator.exercise.rhythm import Rhythm
from generator.exercise.span import FULL_RANGE, OVER_THE_BREAK, Span
from generator.exercise.spelling import spelled_line
from generator.exercise.suiting import check_suits
from generator.exercise.tempo import beat_value, in_quarters, row, usual_quarters
from generator.theory.form import Form, Ladder
from generator.theory.pitch import NoteName
from generator.theory.written_key import Keys, concert_name, sounding_key, written_key

_DIRECTIONS = {"up": "ascending", "down": "descending"}


@dataclass(frozen=True, slots=True)
class Player:
    """Who the exercise is for.

    Attributes:
        instrument: what they play.
        level: level name, or "own range".
        compass: the written notes they may be given.
    """

    instrument: Instrument
    level: str
    compass: Compass


@dataclass(frozen=True, slots=True)
class Recipe:
    """A single request with the rows its names stand for.

    Attributes:
        request: one key, one degree.
        phrase: its canonical phrase.
        form: the form.
        figure: the figure.
        span: the span asked for.
        spans: all spans, from wide to narrow.
        rhythm: the rhythm, in the metre asked for.
        up: articulation of the rising half.
        down: of the falling half.
        exact: refuse rather than take a narrower span.
        syllables: a player's own syllables in place of tu and ku.
    """

    request: Request
    phrase: str
    form: Form
    figure: Figure
    span: Span
    spans: tuple[Span, ...]
    rhythm: Rhythm
    up: Articulation
    down: Articulation
    exact: bool = False
    syllables: tuple[str, ...] = ()


def written_tonic(request: Request, form: Form, instrument: Instrument) -> NoteName:
    """The tonic the player reads: as asked for, or for a concert key the one with the fewest signs.

    Names that the request asks for ("sharp names") win; a key of more than seven signs is respelt.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> from generator.phrase.read import parse
    >>> names = shared_catalogue()
    >>> saxophone = names.instruments.find("alto saxophone")
    >>> written_tonic(parse("concert B-flat major", names), names.forms.find("major"), saxophone).words
    'G'
    """
    tonic = request.keys[0]
    if request.concert:
        tonic = written_key(tonic, form, instrument.sounds, _keys(request))
    return form.readable_tonic(tonic)


def _keys(request: Request) -> Keys:
    return request.names if request.names in ("sharps", "flats") else "fewest"


def concert_tonic(request: Request, written: NoteName, form: Form, instrument: Instrument) -> NoteName:
    """The tonic that is heard: as asked for in concert pitch, else by its usual name.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> from generator.phrase.read import parse
    >>> names = shared_catalogue()
    >>> saxophone = names.instruments.find("alto saxophone")
    >>> concert_tonic(parse("G major", names), NoteName.parse("G"), names.forms.find("major"), saxophone).words
    'B-flat'
    """
    if request.concert:
        return concert_name(request.keys[0], form, _keys(request))
    return sounding_key(written, form, instrument.sounds)


def fit_request(recipe: Recipe, ladder: Ladder, instrument: Instrument | None = None) -> FitRequest:
    """What is to be fitted: the recipe's line on a written tonic.

    Args:
        recipe: the recipe.
        ladder: its form on the written tonic.
        instrument: where its break lies matters to a line over the break.

    Raises:
        DoesNotFitError: a line over the break for an instrument that has none, or with a span of its own.

    >>> from generator.catalogue.players import player_named
    >>> from generator.catalogue.tables import shared_catalogue
    >>> from generator.phrase.expand import recipes
    >>> from generator.phrase.read import parse
    >>> names = shared_catalogue()
    >>> recipe = next(recipes(parse("F major in thirds, two octaves", names), player_named("flute")))
    >>> asked = fit_request(recipe, Ladder(recipe.form, NoteName.parse("F")))
    >>> asked.figure.name, asked.span.name, asked.register
    ('thirds', 'two octaves', 'lowest octave')
    """
    request = recipe.request
    return FitRequest(
        ladder,
        recipe.figure,
        recipe.span,
        request.direction,
        int(request.degree),
        request.register,
        # Boards print a broken chord from tonic to tonic.
        request.inside or recipe.figure.chord,
        recipe.exact,
        _region(recipe, instrument),
    )


def _region(recipe: Recipe, instrument: Instrument | None) -> Compass | None:
    """The notes on both sides of the break, for a line that is asked for there."""
    if recipe.request.register != OVER_THE_BREAK or instrument is None:
        return None
    if instrument.over_the_break is None:
        raise DoesNotFitError(f"the {instrument.name} has no break between registers to go over")
    if not recipe.span.full and recipe.figure.kind != "outward":
        raise DoesNotFitError(
            f"over the break a line goes as far as the break does; leave out {recipe.span.name}"
        )
    return instrument.over_the_break


def build(recipe: Recipe, player: Player, fitted: Fitted | None = None) -> Exercise:
    """Make the exercise.

    Args:
        recipe: what to build.
        player: for whom; pitches come out as written for the instrument.
        fitted: where the line lies, if that is settled already, as when a section plays together.

    Raises:
        DoesNotFitError: no span fits the compass, or the dressing makes no sense, with the reason.

    >>> from generator.catalogue.players import player_named
    >>> from generator.catalogue.tables import shared_catalogue
    >>> from generator.phrase.expand import recipes
    >>> from generator.phrase.read import parse
    >>> player = player_named("trumpet in B-flat")
    >>> recipe = next(recipes(parse("concert F major, one octave, quarters", shared_catalogue()), player))
    >>> exercise = build(recipe, player)
    >>> exercise.heading, exercise.concert_heading
    ('G major, one octave, quarters', 'concert F')
    >>> print(*exercise.pitches)
    G3 A3 B3 C4 D4 E4 F#4 G4 F#4 E4 D4 C4 B3 A3 G3
    """
    wind = player.instrument.wind
    if wind in UNSLURRED:
        recipe = replace(recipe, up=recipe.up.played_on(wind), down=recipe.down.played_on(wind))
    request, form = recipe.request, recipe.form
    tonic = written_tonic(request, form, player.instrument)
    for articulation in (recipe.up, recipe.down):
        check_suits(articulation, per_beat(recipe.rhythm), recipe.rhythm.name, player.instrument.wind)
        _check_held(articulation, recipe.rhythm)
    ladder = Ladder(form, tonic)
    voice = ""
    if fitted is None and recipe.figure.kind == "chords":
        check_plain(request)
        voice, fitted = own_voice(recipe.figure, ladder, player.instrument.sounds.semitones, player.compass)
    fitted = fitted or fit(fit_request(recipe, ladder, player.instrument), player.compass, recipe.spans)
    resolved = request.direction in ("up and down", "down") and not request.degree
    tones = spelled_line(fitted.groups, ladder, player.compass, resolved=resolved, shape=fitted.shape)
    check_playing(recipe.up, recipe.down, request.dynamic, request.bar_times)
    bars = as_played(_dressed(tones, recipe, player), request.dynamic, request.bar_times)
    instrument = player.instrument
    if player.compass.drums or wind == HARP:
        check_possible(tones, min(n.length for b in bars for n in b.notes), wind, player.compass)
    sounding = concert_tonic(request, tonic, form, instrument)
    pitches = [t.pitch for t in tones]
    bars, clefs = in_clefs(bars, clefs_of(request.clef, instrument.clefs, instrument.name))
    made = Exercise(
        phrase=recipe.phrase,
        head=_head(recipe, tonic),
        details=details(recipe, fitted.span.name, instrument.wind),
        concert_heading=f"concert {sounding.words}" if instrument.transposes else "",
        instrument=instrument.name,
        level=player.level,
        key=tonic.name,
        form=form.name,
        figure=recipe.figure.name,
        span=fitted.span.name,
        asked_span=recipe.span.name,
        signature=form.signature_on(tonic),
        clefs=clefs,
        bars=bars,
        tempo=request.tempo,
        tempi=_tempi(recipe),
        beat=request.tempo.unit if request.tempo else beat_value(recipe.rhythm.metre),
        notes=(
            *_remarks(fitted, recipe),
            *((f"Drone on concert {sounding.words}",) if recipe.figure.drone else ()),
        ),
        feel=recipe.rhythm.feel,
        ottava=instrument.ottava and wants_ottava(pitches, clefs[0]),
        drone=sounding.words if recipe.figure.drone else "",
        unit=_bars_a_note(recipe.rhythm),
        repeats=request.times,
        long=_long(bars),
    )
    if recipe.figure.kind == "chords":
        notes = (*made.notes, "Figures are cents, as in just intonation") if voice else made.notes
        made = replace(made, details=", ".join(filter(None, (voice, made.details))), notes=notes)
        line = [degree for group in fitted.groups for degree in group.degrees]
        return in_chords(made, line, chords_of(recipe.figure, form.size), ladder)
    return with_left_hand(made) if instrument.both_hands else made


def _long(bars: Sequence[Bar]) -> bool:
    """Whether no note or rest is shorter than a half note."""
    # A handful of values, each used again and again.
    values = {id(n.value): n.value for b in bars for n in b.notes}.values()
    return min(v.length for v in values) >= Fraction(1, 2)


def _bars_a_note(rhythm: Rhythm) -> int:
    """Bars that one long tone takes with its rest."""
    length = sum((slot.value.length for slot in rhythm.cell), Fraction(0))
    return int(length / rhythm.metre.length) if rhythm.over_barlines else 1


def _check_held(articulation: Articulation, rhythm: Rhythm) -> None:
    if articulation.each and not rhythm.over_barlines:
        raise DoesNotFitError(
            f"{articulation.name} need notes of two bars, not {rhythm.name}: try eight counts"
        )
    if articulation.bar and (not per_beat(rhythm) or rhythm.then):
        raise DoesNotFitError(
            f"{articulation.name} need equal notes in one metre, not {rhythm.name}: try triplets"
        )


def per_beat(rhythm: Rhythm) -> int:
    """Equal notes on each beat of a rhythm, or 0 when they are not equal or the beats differ.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> rhythms = shared_catalogue().rhythms
    >>> [per_beat(rhythms.find(name)) for name in ("sixteenths", "triplets", "dotted eighth and sixteenth")]
    [4, 3, 0]
    """
    return rhythm.per_beat


def _dressed(tones: Sequence[LineTone], recipe: Recipe, player: Player) -> tuple[Bar, ...]:
    tempo = recipe.request.tempo
    breath = Fraction(0)
    if player.instrument.wind in BREATHING:
        beat = beat_value(recipe.rhythm.metre)
        breath = breath_length(in_quarters(tempo) if tempo else usual_quarters(beat), player.instrument.wind)
    dress = Notation(recipe.rhythm, recipe.up, recipe.down, recipe.syllables, breath)
    return notated(tones, dress)


def _head(recipe: Recipe, tonic: NoteName) -> str:
    figure, text = recipe.figure, recipe.form.heading_on(tonic)
    if "{key}" in figure.heading:
        # A heading of its own, such as "Long tones outward from G".
        own = figure.heading.format(key=tonic.words)
        if recipe.form == figure.form:
            return own
        return f"{own}, {recipe.form.name}{'' if recipe.form.chord else ' scale'}"
    if figure.chord and recipe.form.name in BROKEN:
        return f"{text.removesuffix('arpeggio')}{figure.name}"
    added = figure.heading.format(figure=figure.name)
    if not added:
        return text
    joined = added if added.startswith(",") else f" {added}"
    # What stands in brackets comes last: "Dominant seventh on G in thirds (in C)".
    before, bracket, rest = text.partition(" (")
    return f"{before}{joined}{bracket}{rest}"


def details(recipe: Recipe, span: str, wind: str) -> str:
    """What a heading says after key, form and figure, in the words of whoever reads it.

    Args:
        recipe: what was built.
        span: name of the span it took.
        wind: how the reader's instrument is sounded, or `SEVERAL`.

    >>> from generator.catalogue.players import player_named
    >>> from generator.catalogue.tables import shared_catalogue
    >>> from generator.phrase.expand import recipes
    >>> from generator.phrase.read import parse
    >>> asked = parse("C major, one octave, slurs of four up, tongued down", shared_catalogue())
    >>> recipe = next(recipes(asked, player_named("viola")))
    >>> details(recipe, "one octave", "reed")
    'one octave, slurs of four up, all tongued down'
    >>> details(recipe, "one octave", "string")
    'one octave, four notes to a bow rising, separate bows falling'
    """
    own = recipe.figure.span or FULL_RANGE
    spans = [] if span == own.name else [span]
    return ", ".join([*spans, *_dressing_words(recipe.request, wind)])


def _dressing_words(request: Request, wind: str) -> list[str]:
    words: list[str] = []
    if request.direction != "up and down":
        words.append(_DIRECTIONS.get(request.direction, request.direction))
    if request.degree:
        words.append(f"from the {ORDINALS[int(request.degree)]} degree")
    if request.register == OVER_THE_BREAK:
        words.append(OVER_THE_BREAK)
    words += [w for w in (row_name(request.rhythm), f"in {request.metre}" if request.metre else "") if w]
    up, down = _stroke_words(request.articulation, wind), _stroke_words(request.articulation_down, wind)
    # To string players, who read scores as well, "up" and "down" are ways of the bow.
    rising, falling = ("up", "down") if wind in TONGUED else ("rising", "falling")
    if request.articulation_down:
        words += [f"{up} {rising}"] if up else []
        words += [f"{down} {falling}"] if down else []
    elif up:
        words.append(up)
    # Other dynamics stand under the notes.
    words += [ECHO] if request.dynamic == ECHO else []
    words += ["each bar twice"] if request.bar_times > 1 and request.dynamic != ECHO else []
    return words + ([TIMES[request.times]] if request.times > 1 else [])


def _stroke_words(row: Articulation | RowSet[Articulation] | Choice | None, wind: str) -> str:
    return row.words_for(wind) if isinstance(row, Articulation) else row_name(row)


def _tempi(recipe: Recipe) -> tuple[int, ...]:
    request = recipe.request
    if request.tempo is None:
        return ()
    if request.goal is None:
        return (request.tempo.bpm,)
    return row(request.tempo.bpm, request.goal, step=request.step, climb=request.climb)


def _remarks(fitted: Fitted, recipe: Recipe) -> tuple[str, ...]:
    if fitted.span == recipe.span:
        return ()
    return (f"{recipe.span.name} will not fit here; {fitted.span.name} will".capitalize(),)


__all__ = ["Group", "Player", "Recipe", "build", "concert_tonic", "details", "per_beat", "written_tonic"]
