"""What a section is to rehearse, and how."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from generator.catalogue.names import fold
from generator.errors import UnknownNameError, clipped
from generator.phrase.ways import USUAL, Ways
from generator.section.together import Together
from generator.theory.written_key import Keys

if TYPE_CHECKING:
    from generator.passage.kept import KeptPassage


@dataclass(frozen=True, slots=True)
class RehearsalPlan:
    """What is to be rehearsed, and how.

    Attributes:
        phrases: in concert keys unless they say "written".
        own_range: each chair plays its own widest range; bars do not line up then.
        exact: refuse a span that does not fit everyone.
        keys: which of two names a chair reads.
        levels: the page once at each of these levels, same bars; empty for each chair's own.
        together: what becomes of chairs that have not all notes of the others: they fold the line, or leave notes out,
            or all play what they have too.
        kept: passages of a player's own that drill phrases among them name.
        ways: what goes without saying in the phrases.
    """

    phrases: tuple[str, ...]
    own_range: bool = False
    exact: bool = False
    keys: Keys = "fewest"
    levels: tuple[str, ...] = ()
    together: Together = "fold"
    kept: "tuple[KeptPassage, ...]" = ()
    ways: Ways = USUAL

    def passage(self, name: str) -> "KeptPassage":
        """The passage of a drill phrase.

        Raises:
            UnknownNameError: none of that name was given.
        """
        found = next((one for one in self.kept if fold(one.name) == fold(name)), None)
        if found is None:
            raise UnknownNameError(
                f"there is no passage called {clipped(name)}; see: scalewright list passages"
            )
        return found
