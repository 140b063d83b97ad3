"""A part of a phrase while it is read: what one of several things asked for says by itself."""

from dataclasses import dataclass, field
from typing import Any

from generator.catalogue.rows import KeyList
from generator.exercise.request import RowSet, first_form
from generator.theory.form import Form
from generator.theory.pitch import NoteName

LISTED = ("figure", "rhythm", "articulation", "span", "dynamic", "direction", "register", "metre")
"""Kinds of which "and" or "then" may name several: one exercise each."""


@dataclass(frozen=True, slots=True)
class Signs:
    """Keys by their signatures: ``up to three flats``.

    Attributes:
        count: how many signs.
        up_to: as many or fewer.
        sharps: with sharps.
        flats: with flats.
    """

    count: int
    up_to: bool
    sharps: bool
    flats: bool


@dataclass
class Part:
    """What is known of one part.

    Attributes:
        keys: named in it, in order.
        found: what it settles, by kind.
        lists: kinds of which it names several, in order.
        open_lists: kinds whose list holds commas only, so that it may be a contradiction.
        early: kinds that were said before its form.
        loose: kinds of which a plainer word was said than may follow: "repeat" before "four times".
        own: kinds that made it a part of its own, and belong to no other.
        form_first: its form came before its keys.
        key_after: the word before its first key, small ones left out.
        key_said: the word key stands before its keys.
        form_apart: a comma or the like stands before its form.
        roman: its form was named by its place in a key, as V7.
        bare_minor: it says minor and not which.
        bare_arpeggio: it says arpeggio and not which.
        arpeggio_of: the part whose arpeggio it is.
        with_arpeggio: scale and arpeggio of the same.
        relative: it is the relative or parallel key of the keys it names, or of another part's.
        relative_of: the other part.
        modes: the modes of its form.
        scale: the word scale was said, so that a key alone is major.
        signs: keys by their signatures.
        key_list: a list of keys by name.
        start: the note it starts on.
        every: a form was named in the plural, which without keys means in all keys.
    """

    keys: list[NoteName] = field(default_factory=list)
    found: dict[str, Any] = field(default_factory=dict)
    lists: dict[str, list[Any]] = field(default_factory=dict)
    open_lists: set[str] = field(default_factory=set)
    early: set[str] = field(default_factory=set)
    loose: set[str] = field(default_factory=set)
    own: set[str] = field(default_factory=set)
    form_first: bool = False
    key_after: str = ""
    key_said: bool = False
    form_apart: bool = False
    roman: bool = False
    bare_minor: bool = False
    bare_arpeggio: bool = False
    arpeggio_of: "Part | None" = None
    with_arpeggio: bool = False
    relative: str = ""
    relative_of: "Part | None" = None
    modes: bool = False
    scale: bool = False
    signs: Signs | None = None
    key_list: KeyList | None = None
    start: NoteName | None = None
    every: bool = False

    @property
    def form(self) -> Any:  # noqa: ANN401
        """Its form, a chain of forms or a routine; None where none was said yet."""
        return self.found.get("form")

    @property
    def has_keys(self) -> bool:
        """Whether it says which keys."""
        return bool(self.keys or "key set" in self.found or self.signs)

    @property
    def plain_form(self) -> Form | None:
        """Its form, or the first of a chain."""
        form = self.form
        return first_form(form) if isinstance(form, Form | RowSet) else None
