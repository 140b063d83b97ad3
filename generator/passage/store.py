"""The passages a player keeps: a folder of small .abc files, one each, that can be changed by hand."""

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from generator.catalogue.names import fold, hint, nearest
from generator.errors import OutputError, RequestError, UnknownNameError, clipped
from generator.files.atomic import place
from generator.files.resources import is_there, why
from generator.files.text import slug

if TYPE_CHECKING:  # the folder is named on every sheet, and looked into on few
    from generator.passage.kept import KeptPassage

ENDING = ".abc"
MOST_PASSAGES = 1000


@dataclass(frozen=True, slots=True)
class Passages:
    """A player's passages.

    Attributes:
        folder: where they lie; it need not be there.
    """

    folder: Path

    def names(self) -> tuple[str, ...]:
        """The names of all passages, as their files say, in the order of the alphabet.

        Raises:
            OutputError: the folder cannot be read.
        """
        return tuple(kept.name for kept in self.all())

    def all(self) -> "tuple[KeptPassage, ...]":
        """Every passage that can be read.

        Raises:
            OutputError: the folder cannot be read.
        """
        from generator.passage.kept import from_text  # noqa: PLC0415  # few sheets have a passage

        found = []
        for path in self._paths():
            try:
                found.append(from_text(_read(path)))
            except RequestError:
                continue
        return tuple(sorted(found, key=lambda kept: fold(kept.name)))

    def find(self, name: str) -> "KeptPassage":
        """The passage of a name.

        Raises:
            UnknownNameError: there is none, with the nearest names.
            RequestError: its file has a mistake, told with its name.
            OutputError: it cannot be read.
        """
        from generator.passage.kept import from_text  # noqa: PLC0415  # few sheets have a passage

        path = self._path(name)
        text = _read(path) if is_there(path) and path.is_file() else ""
        if not text:
            names = self.names()
            near = nearest(name, names)
            raise UnknownNameError(
                f"there is no passage called {clipped(name)}; "
                + hint(near, "keep one with: scalewright passage keep NAME FILE" if not names else
                       f"there is {', '.join(names[:8])}"),
                nearest=near,
            )  # fmt: skip
        try:
            return from_text(text, "")
        except RequestError as error:
            raise RequestError(f"{path.name}: {error}") from None

    def keep(self, kept: "KeptPassage") -> Path:
        """Put a passage into its file; one of the same name is replaced.

        Raises:
            RequestError: there are too many.
            OutputError: it cannot be written; nothing half-written is left.
        """
        path, data = self.file_of(kept)
        return place(data, path)

    def file_of(self, kept: "KeptPassage") -> tuple[Path, bytes]:
        """Where a passage is kept, and what stands there, for whoever writes more besides.

        Raises:
            RequestError: there are too many.
            OutputError: the folder cannot be read.
        """
        from generator.passage.kept import text_of  # noqa: PLC0415  # few sheets have a passage

        path = self._path(kept.name)
        if not is_there(path) and len(self._paths()) >= MOST_PASSAGES:
            raise RequestError(
                f"there are {MOST_PASSAGES} passages; drop one first with: scalewright passage drop NAME"
            )
        return path, text_of(kept).encode()

    def drop(self, name: str) -> Path:
        """Take a passage away.

        Raises:
            UnknownNameError: there is none.
            OutputError: it cannot be removed.
        """
        self.find(name)
        path = self._path(name)
        try:
            path.unlink()
        except OSError as problem:
            raise OutputError(f"{path}: {why(problem)}") from None
        return path

    def _path(self, name: str) -> Path:
        from generator.passage.kept import checked_name  # noqa: PLC0415  # few sheets have a passage

        return self.folder / f"{slug(checked_name(name))}{ENDING}"

    def _paths(self) -> list[Path]:
        if not is_there(self.folder):
            return []
        try:
            return sorted(path for path in self.folder.iterdir() if path.suffix == ENDING and path.is_file())
        except OSError as problem:
            raise OutputError(f"{self.folder}: {why(problem)}") from None


def _read(path: Path) -> str:
    from generator.passage.abc_reader import LONGEST_TEXT  # noqa: PLC0415  # few sheets have a passage

    try:
        with path.open("rb") as file:
            data = file.read(LONGEST_TEXT + 1)
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise RequestError(f"{path.name} is not in UTF-8; save it as UTF-8 text") from None
    except OSError as problem:
        raise OutputError(f"cannot read {path}: {why(problem)}") from None
