"""Tuning notes by family of instruments."""

import tomllib
from collections.abc import Mapping
from pathlib import Path

from generator.errors import BadFileError, OutputError
from generator.theory.pitch import NoteName


def load_tuning(folder: Path) -> Mapping[str, tuple[NoteName, ...]]:
    """Concert notes by family name, from tuning.toml.

    Raises:
        BadFileError: a row has mistakes.
        OutputError: the file is missing.
    """
    path = folder / "tuning.toml"
    try:
        rows = tomllib.loads(path.read_text("utf-8")).get("tuning", [])
        return {
            family: tuple(NoteName.parse(n) for n in row["notes"].split())
            for row in rows
            for family in row["families"]
        }
    except OSError as error:
        raise OutputError(f"cannot read {path}: {error.strerror}") from None
    except (KeyError, TypeError, tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise BadFileError(f"{path.name}: {error}") from None
