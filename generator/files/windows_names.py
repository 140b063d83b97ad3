"""Names of files that mean something else on Windows: a device, a hidden part of another file, another name.

Source: Microsoft, "Naming Files, Paths, and Namespaces" (reserved names and characters), from memory; the tests hold it
against Python's own list.
"""

from pathlib import PureWindowsPath

from generator.files.text import WINDOWS_DEVICES

_RESERVED = frozenset('<>:"|?*')


def windows_problem(path: str) -> str | None:
    r"""What Windows would make of a path that a person named, or None where it is a plain one.

    Args:
        path: with slashes of either kind.

    >>> windows_problem("C:\\music\\out")
    >>> windows_problem("out/nul.pdf")
    "'nul.pdf' is a device on Windows, not a file"
    """
    pure = PureWindowsPath(path)
    for part in pure.parts[1:] if pure.anchor else pure.parts:
        if part == "..":
            continue
        if (
            part.split(".")[0].split(":")[0].rstrip(" $").translate(_SUPERSCRIPTS).casefold()
            in WINDOWS_DEVICES
        ):
            return f"{part!r} is a device on Windows, not a file"
        if wrong := next((sign for sign in part if sign in _RESERVED or ord(sign) < ord(" ")), None):
            return f"{part!r} holds {wrong!r}, which no name on Windows can"
        if part[-1] in ". ":
            return (
                f"{part!r} ends in a {'dot' if part[-1] == '.' else 'space'}, which Windows would leave out"
            )
    return None


# COM and LPT take these for 1, 2 and 3 as well.
_SUPERSCRIPTS = str.maketrans("\u00b9\u00b2\u00b3", "123")
