"""The records of a page: its words, its exercises as they are printed, and the whole sheet laid out."""

from dataclasses import dataclass
from typing import Literal

from generator.exercise.records import Exercise
from generator.pages.alike import broken_alike
from generator.pages.heights import Profile, profile
from generator.pages.lines import Layout, Piece
from generator.pages.paper import Paper
from generator.pages.systems import Head

Show = Literal["notes", "outline", "both"]
SHOWS: tuple[Show, ...] = ("notes", "outline", "both")


# Rows of words under the music, and what parts them from it.
_BENEATH, _ROW = 2.4, 2.6


@dataclass(frozen=True, slots=True)
class Words:
    """The words of a page that are not music; a person's own words among them.

    Attributes:
        title: large, at the left.
        instrument: at the right.
        subtitle: under the title.
        date: under the instrument.
        remark: one line under the rule: a teacher's note, a caution.
        notices: more lines under it, each of its own: a note of the band, a caution.
        footer: at the foot of every page.
        strip: days to tick, in short, under the rule.
    """

    title: str
    instrument: str
    subtitle: str = ""
    date: str = ""
    remark: str = ""
    footer: str = ""
    strip: tuple[str, ...] = ()
    notices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class SheetItem:
    """One exercise as it is printed.

    Attributes:
        number: what it is called on the page; "" for none.
        exercise: the music.
        heading: what stands over it, shortened to what the title does not say.
        concert: the concert key beside it, or "".
        layout: its lines.
        outline: only clef, signature and first note are printed.
        new_page: a page begins with it.
        may_part: it is parted over two pages, or longer than one.
        page_starts: lines in it, from 0, that begin a page: it is parted there.
        filler: staff spaces left free below it, where what follows begins a page of its own.
        section: a heading of its own over it, such as "In notes".
        dip: how far its first line may rise beside the words over it, in staff spaces.
        named: names of the notes stand under them.
        room: length of a whole line in staff spaces.
        beside: its heading stands beside its line.
    """

    number: str
    exercise: Exercise
    heading: str
    concert: str
    layout: Layout
    outline: bool = False
    new_page: bool = False
    may_part: bool = False
    page_starts: tuple[int, ...] = ()
    filler: float = 0.0
    section: str = ""
    dip: float = 0.0
    room: float = 0.0
    named: bool = False
    beside: bool = False

    @property
    def ticks(self) -> str:
        """Beat and tempi, as the page template reads them: ``4. 60 72``; an underline where the player fills in.

        Without squares ``4. =72``, or nothing.
        """
        if not self.exercise.ticked:
            tempi = self.exercise.tempi[-1:]
            return f"{self.exercise.beat} ={tempi[0]}" if tempi else ""
        return " ".join([str(self.exercise.beat), *(str(t) for t in self.exercise.tempi or ("_",))])

    @property
    def left(self) -> tuple[tuple[Piece, ...], ...]:
        """The lines of the left hand, where hands are together."""
        left = self.exercise.left
        return () if left is None or self.outline else broken_alike(left, self.layout.lines)

    @property
    def tally(self) -> bool:
        """Whether it has lines to write on beside its reason: for the tempo reached, and a stroke each time."""
        return bool(self.exercise.reason and self.exercise.tempi) and not (
            self.outline or self.exercise.recipe
        )

    @property
    def reason(self) -> str:
        """The line under the heading."""
        lines = [w for w in (self.exercise.reason, *self.exercise.notes) if w]
        return "" if self.outline else "; ".join(lines)

    @property
    def head(self) -> Head:
        """What stands over it, to be measured."""
        return Head(
            f"{self.number}. {self.heading}" if self.number else self.heading,
            f"({self.concert})" if self.concert else "",
            self.reason,
            self.ticks,
            self.tally,
            bool(self.section),
        )

    @property
    def profiles(self) -> tuple[Profile, ...]:
        """The outlines of its lines of music."""
        one, left = self.exercise, self.left
        share = min(1.0, self.layout.length / self.room) if self.room else 1.0
        found: list[Profile] = []
        for number, line in enumerate(self.layout.lines):
            first = number == 0
            upper = profile(line, one.signature, first=first, share=share, feel=bool(one.feel) and first)
            upper = upper.with_names() if self.named else upper
            lower = profile(left[number], one.signature, first=first, share=share) if left else None
            found.append(upper.over(lower) if lower else upper)
        rows = len(one.beneath) + sum(bool(heading) for heading, _ in one.beneath)
        if rows and not self.outline:
            found[-1] = found[-1].hanging(_BENEATH + _ROW * rows)
        return tuple(found)


@dataclass(frozen=True, slots=True)
class SheetLayout:
    """Everything the page template needs.

    Attributes:
        words: title and the like.
        paper: page and staff size.
        items: exercises in order.
        pages: how many pages the breaks make; 0 where LilyPond breaks pages.
        stretched: the last page too is full enough to be spread down to the foot.
        columns: outlines that stand side by side.
        column: room for headings beside the lines in staff spaces; 0 where they stand over them.
    """

    words: Words
    paper: Paper
    items: tuple[SheetItem, ...]
    pages: int = 1
    stretched: bool = False
    columns: int = 1
    column: float = 0.0
