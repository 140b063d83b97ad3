"""The words of a handout: titles, what stands at the head of each part, and the cover that says who plays what."""

from collections.abc import Sequence
from dataclasses import dataclass

from generator.catalogue.tables import shared_catalogue
from generator.documents.section import Chair
from generator.files.text import slug
from generator.pages.cautions import caution
from generator.pages.sheet import Words
from generator.pages.tables import Block, TablePage, parted
from generator.publish.day_words import DayWords, day_blocks
from generator.publish.sheet import default_title
from generator.section.rehearsal import ChairPart, Rehearsal
from generator.section.together import FOLDED, RESTS, TACET

# Chairs that a page of the cover holds below its first table.
_MOST_CHAIRS = 38
_MOST_KEYS = 8
_TICK = "tick a tempo when it is clean three times in a row"


@dataclass(frozen=True, slots=True)
class Wording:
    """What all pages say.

    Attributes:
        title: of the handout.
        band: name of the band, class or section.
        note: a teacher's own line.
        band_note: the band's own.
        code: as in the footers.
        day: what is said on a day's sheet of a section, or None.
        cutting: how half sheets are cut, or "".
    """

    title: str
    band: str
    note: str
    code: str
    band_note: str = ""
    day: DayWords | None = None
    cutting: str = ""

    @property
    def footer(self) -> str:
        """At the foot of pages that are no one's part."""
        return self.day.footer if self.day else f"Handout {self.code}"


def cutting_words(*, two_sided: bool) -> str:
    """How to get from the printed packet to parts in score order."""
    sides = "Print on both sides, turned on the short edge. " if two_sided else ""
    return (
        f"{sides}Half sheets: cut the landscape pages along the line in their middle, and lay the left pile on the "
        "right one; the parts lie in score order then, with their copies. A part's own file has it twice on each page."
    )


def title_of(rehearsal: Rehearsal) -> str:
    """A title: the one exercise, or what the exercises share; a warm-up counts only where there is nothing else."""
    turns = [turn for turn in rehearsal.turns if not turn.warm_up]
    if not turns:
        return "Warm-up"
    drills = {turn.drill for turn in turns}
    if len(drills) == 1 and "" not in drills:
        return f"Drill: {drills.pop()}"
    headings = list(dict.fromkeys(turn.heading for turn in turns))
    if len(headings) == 1:
        return headings[0]
    heard = [turn.heard[0] for turn in turns]
    if len({e.form for e in heard}) > 1:
        return "Scales and technique"
    title = default_title(heard)
    if title == heard[0].head:
        return turns[0].heading.split(",")[0]
    plain = title.casefold() == heard[0].form and not shared_catalogue().forms.find(heard[0].form).chord
    return f"{title} scales" if plain else title


def file_stem(number: int, chair: Chair) -> str:
    """File name of a part: its place in the score, then who plays it."""
    # A name in letters that no file name may hold gives way to the instrument's.
    chair_name = chair.name if any(c.isascii() and c.isalnum() for c in chair.name) else ""
    name = chair_name or chair.player.instrument.name
    return f"{number:02d}-{slug(f'{chair.person} {name}' if chair.person else name, 50)}"


def part_words(chair: Chair, part: ChairPart, wording: Wording) -> tuple[Words, str]:
    """The words of a part, and what is left to be filled in."""
    label = part.player.instrument.label
    person = chair.person
    # The chair as its director calls it; what it is in the books stands small where that name does not say it.
    instrument = "" if _says(chair.name, label) else label
    subtitle = " · ".join(w for w in (instrument, _level(part, chair), person, wording.band) if w)
    warning = caution(part.exercises, part.player, shared_catalogue().cautions.rows)
    words = Words(
        title=wording.title,
        instrument=chair.name,
        subtitle=subtitle,
        remark=wording.note,
        notices=tuple(line for line in (wording.band_note, warning) if line),
        footer=f"{wording.footer} · {chair.name} · {_TICK}",
    )
    blanks = "Date 14" if person else "Name 26|Date 14"
    if wording.day:  # its date is known
        blanks = "" if person else "Name 26"
    return words, blanks


def score_words(wording: Wording, kind: str) -> Words:
    """The words of a score of some kind."""
    return Words(
        wording.title,
        kind,
        subtitle=wording.band,
        remark=wording.note,
        footer=wording.footer,
        notices=(wording.band_note,),
    )


def cover(rehearsal: Rehearsal, wording: Wording) -> TablePage:
    """Who plays what, in which written key, how many copies."""
    chairs = [(chair, part) for part in rehearsal.parts for chair in part.chairs]
    people = any(chair.person for chair, _ in chairs)
    head = ("Chair", *(("Player",) if people else ()), "Instrument", "Reads", "Copies")
    rows = [head]
    for chair, part in chairs:
        level = (
            ""
            if part.player.level in ("standard", "own range") or part.unpitched
            else f", {part.player.level}"
        )
        level += _adapted(part)
        person = (chair.person,) if people else ()
        rows.append(
            (chair.name, *person, f"{part.player.instrument.label}{level}", _reads(part), str(chair.copies))
        )
    widths = (26, *((26,) if people else ()), 36, 30, 9)
    together = (
        "Everyone plays the same bars at the same time, each in their own octave."
        if rehearsal.together
        else "Each plays their own range; bars do not line up."
    )
    copies = sum(chair.copies for chair, _ in chairs)
    exercises = [("No.", "Exercise", "Bars")]
    for number, turn in enumerate(rehearsal.turns, 1):
        bars = str(len(turn.read[0].bars)) if rehearsal.together else ""
        exercises.append((str(number), turn.heading, bars))
    listed = [
        Block(heading="" if n else together, widths=(6, 90, 14), rows=part)
        for n, part in enumerate(parted(exercises, _MOST_CHAIRS))
    ]
    if wording.day:
        listed = day_blocks(
            wording.day, rehearsal.headings, [len(turn.read[0].bars) for turn in rehearsal.turns]
        )
    tables = [Block(widths=widths, rows=part) for part in parted(rows, _MOST_CHAIRS)]
    counts = f"{_counted(len(chairs), 'part', 'parts')}, {_counted(copies, 'copy', 'copies')}"
    words = Words(
        wording.title, "For the director" if wording.day else "Who plays what",
        subtitle=" · ".join(w for w in (wording.band, counts) if w),
        remark=wording.note, footer=wording.footer, notices=(wording.band_note, wording.cutting),
    )  # fmt: skip
    return TablePage("cover", words, (*listed, *tables), "" if wording.day else "Date 14")


def _says(name: str, label: str) -> bool:
    """Whether a chair's name says what it plays: ``2nd Flute`` does, ``2nd Clarinet`` does not say in B-flat."""
    return label.casefold() in name.casefold()


def _counted(count: int, one: str, more: str) -> str:
    return f"{count} {one if count == 1 else more}"


def _level(part: ChairPart, chair: Chair) -> str:
    """The level, where it is not the usual one and the chair's name does not say it."""
    level = part.player.level
    return "" if part.unpitched or level in ("standard", "own range") or chair.name.endswith(level) else level


def _adapted(part: ChairPart) -> str:
    """Which exercises a chair plays in another way than the others, and how."""
    words = {FOLDED: "changes octave", RESTS: "rests in part", TACET: "rests"}
    found = []
    for note, verb in words.items():
        numbers = [str(n) for n, exercise in enumerate(part.exercises, 1) if note in exercise.notes]
        if numbers:
            told = ", ".join(numbers[:_MOST_KEYS]) + (" ..." if numbers[_MOST_KEYS:] else "")
            found.append(f"; {verb} ({told})" if len(part.exercises) > 1 else f"; {verb}")
    return "".join(found)


def _reads(part: ChairPart) -> str:
    if part.unpitched:
        return "rhythm"
    keys: Sequence[str] = list(dict.fromkeys(k for k in part.keys if k))
    more = f" and {len(keys) - _MOST_KEYS} more" if len(keys) > _MOST_KEYS else ""
    return ", ".join(keys[:_MOST_KEYS]) + more
