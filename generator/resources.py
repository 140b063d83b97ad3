"""Where templates/ and shared/ are, installed or in a checkout. The only module that knows."""

from pathlib import Path

from generator.errors import OutputError

_PACKAGE = Path(__file__).parent


def data_folder(name: str) -> Path:
    """The folder ``templates`` or ``shared``.

    Raises:
        OutputError: this installation lacks it.
    """
    installed = _PACKAGE / "_data" / name
    if installed.is_dir():
        return installed
    checkout = _PACKAGE.parent
    # pyproject.toml beside it tells a checkout from a stray folder in site-packages.
    if (checkout / "pyproject.toml").is_file() and (checkout / name).is_dir():
        return checkout / name
    raise OutputError(
        f"the data folder {name!r} is missing from this installation; install scalewright again"
    )
