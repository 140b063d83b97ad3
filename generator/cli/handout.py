"""``scalewright handout``: the same exercises for a whole section, each part in its own key, clef and range."""

from collections.abc import Iterator
from pathlib import Path
from typing import Annotated

import typer  # noqa: TID251

from generator.api.handouts import handout as hand_out
from generator.api.handouts import listed_handout
from generator.catalogue.players import OWN_RANGE
from generator.catalogue.tables import shared_catalogue
from generator.cli import options
from generator.cli.chance import chance_of
from generator.cli.messages import Message, hush, put_out, tell
from generator.cli.playing_tests import hand_out_test
from generator.cli.progress_bar import progress_bar
from generator.documents.roster import read_roster
from generator.documents.section import Section, from_names
from generator.documents.section_file import read_section
from generator.errors import RequestError, shown
from generator.files.home import Home, current_folder
from generator.pages.own_page import OwnPage
from generator.pages.paper import Paper
from generator.pages.reader import USUAL_READER
from generator.passage.named import is_drill
from generator.passage.store import Passages
from generator.publish.handout import HandedOut, HandoutOrder, export_given
from generator.publish.handout_scores import ScoreKinds
from generator.publish.sheet import parse_formats
from generator.section.together import TOGETHER, Together
from generator.theory.written_key import KEYS, Keys

_FORMATS = "pdf, png, svg, ly, musicxml, midi, wav, json; several with commas."


def handout(
    phrases: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="PHRASE...", help="Like 'concert B-flat major in thirds' or 'usual band keys, major'."
        ),
    ] = None,
    section: Annotated[Path | None, typer.Option("--section", "-s", help="The chairs, a TOML file.")] = None,
    instruments: Annotated[
        str, typer.Option("--instruments", help="Chairs in one line, like 'flute, 2 clarinet, tuba'.")
    ] = "",
    roster: Annotated[
        Path | None, typer.Option("--roster", help="A spreadsheet, CSV or .xlsx; a part for each player.")
    ] = None,
    level: options.Level = "standard",
    levels: Annotated[
        str, typer.Option("--levels", help="The page at several levels, same bars: 'first notes, standard'.")
    ] = "",
    own_range: Annotated[
        bool, typer.Option("--own-range", help="Each plays their own range; bars do not line up.")
    ] = False,
    together: Annotated[
        str,
        typer.Option(
            "--together", help="Chairs that lack notes of the others: fold by octaves, narrow all, leave out."
        ),
    ] = "fold",
    exact: Annotated[bool, typer.Option("--exact", help="Refuse a span that does not fit everyone.")] = False,
    keys: Annotated[
        str, typer.Option("--keys", help="Written keys: fewest signs, sharps or flats.")
    ] = "fewest",
    warm_up: Annotated[
        int, typer.Option("--warm-up", metavar="MINUTES", help="Begin with a warm-up of so many minutes.")
    ] = 0,
    list_: options.RequiredListName = None,
    draw: options.Draw = 0,
    seed: options.Seed = None,
    test: Annotated[
        bool,
        typer.Option("--test", help="A playing test: candidates' sheets, score sheets, marks, a mark book."),
    ] = False,
    numbers: Annotated[
        bool,
        typer.Option("--numbers", help="With --test: dealt numbers for names; who is who lies apart."),
    ] = False,
    score: Annotated[
        bool, typer.Option("--score/--no-score", help="A score; condensed for more than twelve chairs.")
    ] = True,
    condensed: Annotated[
        bool,
        typer.Option("--condensed", help="A condensed score: two staves at concert pitch, a table of keys."),
    ] = False,
    full_score: Annotated[
        bool, typer.Option("--full-score", help="A full score, transposed: a staff for every part.")
    ] = False,
    concert_score: Annotated[
        bool, typer.Option("--concert-score", help="The full score at concert pitch.")
    ] = False,
    two_sided: Annotated[
        bool, typer.Option("--two-sided", help="Every copy begins on a sheet of its own.")
    ] = False,
    two_up: Annotated[
        bool, typer.Option("--two-up", help="Parts on half sheets, two to a page, to be cut in the middle.")
    ] = False,
    export: Annotated[
        Path | None, typer.Option("--export", help="Write who got what to this CSV file.")
    ] = None,
    out: options.Out = Path("out"),
    format_: Annotated[str, typer.Option("--format", "-f", help=_FORMATS)] = "pdf",
    paper: options.PaperSize = "letter",
    print_: options.Print = "normal",
    fingerings: options.Fingerings = False,
    hints: options.Hints = None,
    staff: options.Staff = None,
    landscape: options.Landscape = None,
    title: options.Title = "",
    note: options.Note = "",
    home: options.HomeFolder = None,
    no_cache: options.NoCache = False,
    quiet: options.Quiet = False,
) -> None:
    """Print a part for every chair, a score, a cover, and everything bound together."""
    hush(quiet)
    order = HandoutOrder(
        out=out,
        formats=parse_formats(format_),
        paper=Paper.of(paper, print_, OwnPage(staff, landscape).of(USUAL_READER)),
        title=title,
        note=note,
        score=score,
        kinds=ScoreKinds(full=full_score, condensed=condensed, concert=concert_score),
        two_sided=two_sided,
        two_up=two_up,
        cache=options.cache(home, off=no_cache),
        help=options.hand_help(hints, fingerings=fingerings),
    )
    who_plays = _section(section, roster, instruments, level)
    if not phrases and not warm_up and not list_ and not test:
        raise RequestError(
            "say what to play, like 'concert B-flat major in thirds', or ask for a --list or a --warm-up"
        )
    if numbers and not test:
        raise RequestError("--numbers goes with --test")
    if (draw and not list_) or (seed is not None and not list_ and not numbers):
        raise RequestError("--draw goes with --list, --seed with --draw or --numbers")
    tell(roster_lines(roster, who_plays))
    for_all = bool(warm_up or own_range or exact or levels or together != "fold")
    if test:
        if for_all or condensed or full_score or concert_score or export or (phrases and list_):
            raise RequestError(
                "each plays a test alone, in their own notes: leave out --warm-up, --own-range, --exact, --levels, "
                "--together, the options of scores and --export, and say phrases or --list"
            )
        hand_out_test(
            phrases or (), who_plays, order, list_=list_, draw=draw, seed=seed, numbers=numbers,
            keys=_keys(keys), quiet=quiet,
        )  # fmt: skip
        return
    if list_:
        if phrases or for_all:
            raise RequestError(
                "a required list says itself what is played; with --list leave out phrases, --warm-up, --own-range, "
                "--exact, --levels and --together"
            )
        _hand_out_list(list_, who_plays, order, draw, seed, export, quiet=quiet)
        return
    with progress_bar(quiet=quiet) as progress:
        done = hand_out(
            *(phrases or ()),
            section=who_plays,
            order=order,
            own_range=own_range,
            exact=exact,
            keys=_keys(keys),
            together=_together(together),
            levels=tuple(w.strip() for w in levels.split(",") if w.strip()),
            warm_up=warm_up,
            progress=progress,
            passages=Passages(Home.at(home).passages) if any(map(is_drill, phrases or ())) else None,
        )
    tell(_kept(who_plays, levels))
    tell(_lines(done))
    _put_out(done, export)


def _hand_out_list(
    name: str,
    section: Section,
    order: HandoutOrder,
    draw: int,
    seed: int | None,
    export: Path | None,
    *,
    quiet: bool,
) -> None:
    """A required list for everyone, and what is to be said about it."""
    chance, drawn = chance_of(seed) if draw else (None, None)
    with progress_bar(quiet=quiet) as progress:
        done, told = listed_handout(
            name,
            section=section,
            order=order,
            here=current_folder(),
            draw=draw,
            chance=chance,
            progress=progress,
        )
    if drawn is not None:
        tell([Message(f"drawn with --seed {drawn}")])
    tell(Message(line, loud=line.startswith("left out")) for line in told)
    tell(Message(warning, loud=True) for warning in done.warnings)
    _put_out(done, export)


def _put_out(done: HandedOut, export: Path | None) -> None:
    if export:
        put_out(export_given(done.given, export))
    for path in done.paths:
        put_out(path)


def _section(section: Path | None, roster: Path | None, instruments: str, level: str) -> Section:
    if sum(map(bool, (section, instruments, roster))) != 1:
        raise RequestError(
            "say who plays with one of --section FILE, --roster FILE or --instruments 'flute, tuba'"
        )
    table = shared_catalogue().instruments
    if section:
        return read_section(section, table)
    return read_roster(roster, level) if roster else from_names(instruments, level, table)


def roster_lines(roster: Path | None, section: Section) -> Iterator[Message]:
    """How a roster was read, and which of its lines wait for an answer."""
    name = roster.name if roster else ""
    for remark in section.remarks:
        yield Message(f"{name}: {remark}")
    for doubt in section.doubts:
        yield Message(f"{name}, {doubt.words}", loud=True)
    if roster and section.doubts:
        yield Message(f"to settle that: scalewright section new {name} --out section.toml", loud=True)


def _keys(word: str) -> Keys:
    found = next((keys for keys in KEYS if keys == word), None)
    if found is None:
        raise RequestError(f"unknown --keys {shown(word)}; it can be {', '.join(KEYS)}")
    return found


def _kept(section: Section, levels: str) -> Iterator[Message]:
    """What becomes of levels and limits of chairs where the page is printed at other levels."""
    if not levels:
        return
    own = [chair.name for chair in section.chairs if chair.player.level == OWN_RANGE]
    if own:
        more = f" and {len(own) - 4} more" if own[4:] else ""
        yield Message(f"at every level within their own limits: {', '.join(own[:4])}{more}")
    if any(chair.player.level not in ("standard", OWN_RANGE) for chair in section.chairs):
        yield Message(f"printed at {levels}, whatever levels the section file names")


def _together(word: str) -> Together:
    said = " ".join(word.replace("-", " ").casefold().split())
    found = next((way for way in TOGETHER if way == said), None)
    if found is None:
        raise RequestError(f"unknown --together {shown(word)}; it can be {', '.join(TOGETHER)}")
    return found


def _lines(done: HandedOut) -> Iterator[Message]:
    """What was narrowed or left out, then what LilyPond had to say."""
    rehearsal = done.rehearsal
    for number, turn in enumerate(rehearsal.turns, 1):
        for sentence in turn.told:
            yield Message(f"{number}. {turn.heading}: {sentence}")
    for _, reason in rehearsal.refused:
        yield Message(f"left out: {reason}", loud=True)
    if not rehearsal.together:
        yield Message("each chair plays its own range, so there is no score")
    for warning in done.warnings:
        yield Message(warning, loud=True)
