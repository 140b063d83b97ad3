"""Spans: how far a line goes from its home note, and registers: where on the instrument it lies."""

from dataclasses import dataclass, field
from typing import Literal, get_args

from generator.theory.form import Form
from generator.theory.interval import Interval

Register = Literal["lowest octave", "second octave", "middle octave", "top octave", "over the break"]
REGISTERS: tuple[Register, ...] = get_args(Register)
OVER_THE_BREAK: Register = "over the break"


@dataclass(frozen=True, slots=True)
class Span:
    """A row of shared/spans.toml.

    Attributes:
        name: ``two octaves``, ``a twelfth``, ``full range``.
        interval: from home to top; None for the full range.
        named: printed where it is asked for, never in place of a wider one that does not fit.
    """

    name: str
    interval: Interval | None
    aliases: tuple[str, ...] = field(default=(), compare=False)
    named: bool = False

    @property
    def full(self) -> bool:
        """Whether the line takes in every note of the form in range."""
        return self.interval is None

    def degrees(self, form: Form) -> int | None:
        """Degrees from home to top, or None when the form has no such note (or the span is the full range).

        >>> from generator.catalogue.tables import shared_catalogue
        >>> names = shared_catalogue()
        >>> names.spans.find("a twelfth").degrees(names.forms.find("major"))
        11
        >>> names.spans.find("two octaves").degrees(names.forms.find("major pentatonic"))
        10
        """
        if self.interval is None:
            return None
        return form.degree_at(self.interval.steps, self.interval.semitones)


FULL_RANGE = Span("full range", None)
"""What is played where no span is asked for."""
