"""``scalewright completion``: Tab completes commands, options, phrases, instruments, lists and files in the shell."""

import os
import shlex
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Annotated, Any

import typer  # noqa: TID251

from generator.catalogue.names import fold
from generator.catalogue.rows import LEVELS
from generator.catalogue.tables import shared_catalogue
from generator.cli.listing import KINDS, PASSAGES
from generator.cli.messages import put_out
from generator.documents.required_list import list_names, lists_folder
from generator.errors import MachineError, RequestError, shown
from generator.exchange.playback import CLICKS, DRONES
from generator.files.home import Home, current_folder
from generator.pages.paper import PAPERS, PRINT_SIZES
from generator.pages.sheet import SHOWS
from generator.passage.named import WORD, is_drill
from generator.passage.recipe_rows import drill_rows
from generator.passage.request import EVERY_RECIPE
from generator.passage.store import Passages
from generator.phrase.complete import completions
from generator.practice.player_ways import player_ways
from generator.publish.sheet import FORMATS
from generator.theory.written_key import KEYS

FILES = ":files"
"""Said in place of words where a file is to be named, which shells complete best themselves."""
_BASH = r"""# Completion of scalewright for bash. In ~/.bashrc:  eval "$(scalewright completion bash)"
_scalewright() {
    local cur="${COMP_WORDS[COMP_CWORD]}" quote="" line
    case "$cur" in
        \"* | \'*) quote="${cur:0:1}" ;;
    esac
    COMPREPLY=()
    while IFS= read -r line; do
        if [ "$line" = ":files" ]; then
            compopt -o default 2>/dev/null
            COMPREPLY=()
            return
        fi
        if [ -n "$quote" ]; then
            COMPREPLY+=("$line")
        else
            COMPREPLY+=("$(printf '%q' "$line")")
        fi
    done < <(scalewright complete "$COMP_CWORD" -- "${COMP_WORDS[@]}" 2>/dev/null)
    compopt -o nosort 2>/dev/null
}
complete -F _scalewright scalewright
"""
_ZSH = r"""#compdef scalewright
# Completion of scalewright for zsh. In ~/.zshrc, after compinit:  eval "$(scalewright completion zsh)"
_scalewright() {
    local -a found
    found=("${(@f)$(scalewright complete $((CURRENT - 1)) -- "${words[@]}" 2>/dev/null)}")
    if [[ "${found[1]}" == ":files" ]]; then
        _files
    elif [[ -n "${found[1]}" ]]; then
        compadd -V phrases -- "${found[@]}"
    fi
}
compdef _scalewright scalewright
"""
_FISH = r"""# Completion of scalewright for fish. Once:
#   scalewright completion fish > ~/.config/fish/completions/scalewright.fish
function __scalewright_complete
    set -l before (commandline -opc)
    set -l current (commandline -ct)
    set -l found (scalewright complete (count $before) -- $before $current 2>/dev/null)
    if test "$found[1]" = ":files"
        __fish_complete_path (string trim --chars "\"'" -- $current)
    else
        printf '%s\n' $found
    end
end
complete --command scalewright --no-files --arguments '(__scalewright_complete)'
"""
SCRIPTS = {"bash": _BASH, "zsh": _ZSH, "fish": _FISH}
_CHOICES: dict[str, Iterable[str]] = {
    "--level": LEVELS,
    "--levels": LEVELS,
    "--format": FORMATS,
    "--paper": PAPERS,
    "--print": PRINT_SIZES,
    "--show": SHOWS,
    "--click": CLICKS,
    "--drone": tuple(name.replace(" ", "-") for name in DRONES),
    "--keys": KEYS,
    "--felt": ("1", "2", "3", "4"),
    "--date": ("today", "yesterday", "tomorrow"),
}
_PATHS = ("--out", "--home", "--plan", "--section", "--studio", "--roster", "--names", "--export", "--import")


def completion(
    shell: Annotated[str, typer.Argument(metavar="SHELL", help=f"{', '.join(SCRIPTS)}.")],
) -> None:
    """Print what a shell needs to complete commands, phrases and names with the Tab key."""
    if shell not in SCRIPTS:
        raise RequestError(f"unknown shell {shown(shell)}; it can be {', '.join(SCRIPTS)}")
    put_out(SCRIPTS[shell].rstrip())


def complete(
    place: Annotated[int, typer.Argument(metavar="PLACE", help="Which word is being typed, from 0.")],
    words: Annotated[list[str] | None, typer.Argument(metavar="[WORD]...", help="The line so far.")] = None,
) -> None:
    """Print what a word of a command may become, one a line; the shell asks this."""
    for line in suggestions(words or [], place):
        put_out(line)


def suggestions(line: Sequence[str], place: int) -> list[str]:
    """What a word may become.

    Args:
        line: the words as they stand on the command line, quotes and all, the program's name first.
        place: index of the word that is being typed.
    """
    from generator.cli.application import NAMES, command_named  # noqa: PLC0415

    words = [_bare(word) for word in [*line, *[""] * (place + 1)][: place + 1]]
    typed, before = words[-1], [word for word in words[1:-1] if word != "="]
    if not before:
        return _beginning(NAMES, typed)
    known: Any = command_named(before[0])
    if known is not None and getattr(known, "commands", None):
        if len(before) == 1 and not typed.startswith("-"):
            return _beginning(known.commands, typed)
        known = known.commands.get(before[1]) if len(before) > 1 else None
    if known is None:
        return []
    valued = {
        opt: param.opts[0]
        for param in known.params
        if not getattr(param, "is_flag", True)
        for opt in param.opts
    }
    if before[-1] in valued:
        option = valued[before[-1]]
        return _pupils(before, typed) if option == "--pupil" else _value(option, typed)
    if typed.startswith("-"):
        return _beginning(
            (opt for param in known.params for opt in param.opts if opt.startswith("--")), typed
        )
    return _argument(before[0], typed)


def _bare(word: str) -> str:
    """A word without its quotes, the last of which may not be typed yet."""
    if not any(sign in word for sign in "\"'\\"):
        return word
    for end in ("", '"', "'"):
        try:
            parts = shlex.split(word + end)
        except ValueError:
            continue
        space = " " if word.endswith(" ") and parts and not parts[0].endswith(" ") else ""
        return parts[0] + space if parts else ""
    return word


def _beginning(names: Iterable[str], typed: str) -> list[str]:
    return [name for name in names if name.startswith(typed)]


def _value(option: str, typed: str) -> list[str]:
    if option in _PATHS:
        return [FILES]
    if option in ("--instrument", "--instruments"):
        return _instruments(typed, several=option == "--instruments")
    if option == "--list":
        found = _beginning(list_names(lists_folder()), typed)
        return found or [FILES]
    return _after_commas(_CHOICES.get(option, ()), typed)


def _pupils(before: Sequence[str], typed: str) -> list[str]:
    """The pupils of the studio that is named earlier on the line."""
    at = before.index("--studio") + 1 if "--studio" in before else len(before)
    try:
        from generator.documents.studio_file import read_studio  # noqa: PLC0415  # for teachers alone

        pupils = read_studio(Path(before[at])).pupils if at < len(before) else ()
    except (RequestError, MachineError):
        return []
    return [one.label for one in pupils if one.label.casefold().startswith(typed.casefold())]


def _after_commas(names: Iterable[str], typed: str) -> list[str]:
    """The last of several names with commas between them."""
    head, comma, tail = typed.rpartition(",")
    space = tail[: len(tail) - len(tail.lstrip())]
    return [f"{head}{comma}{space}{name}" for name in _beginning(names, tail.strip())]


def _instruments(typed: str, *, several: bool) -> list[str]:
    """Instruments by name, or by another name where none of the first kind goes on so."""
    head, comma, tail = typed.rpartition(",") if several else ("", "", typed)
    space = " " if comma else ""
    rows = shared_catalogue().instruments.rows
    begun = " ".join(fold(tail)) if tail.strip() else ""
    names = [row.name for row in rows if " ".join(fold(row.name)).startswith(begun)]
    names += [
        alias
        for row in rows
        if row.name not in names
        for alias in row.aliases
        if " ".join(fold(alias)).startswith(begun)
    ]
    return [f"{head}{comma}{space}{name}" for name in names]


def _argument(command: str, typed: str) -> list[str]:
    ways: dict[str, Callable[[str], Sequence[str]]] = {
        "sheet": _phrases,
        "handout": _phrases,
        "list": lambda word: _beginning((*KINDS, PASSAGES), word),
        "drill": lambda word: _drills("", word) or [FILES],
        "passage": lambda _word: [FILES],
        "section": lambda _word: [FILES],
        "played": lambda word: _beginning(("all",), word),
        "completion": lambda word: _beginning(SCRIPTS, word),
    }
    return list(ways[command](typed)) if command in ways else []


def _drills(before: str, typed: str) -> list[str]:
    """A passage that is kept, and after a comma a way to drill it."""
    if "," in typed:
        names = [*(recipe.name for recipe in drill_rows().recipes), EVERY_RECIPE]
        return [before + one for one in _after_commas(names, typed)]
    home = os.environ.get("SCALEWRIGHT_HOME")
    try:
        names = list(Passages(Home.at(Path(home) if home else None).passages).names())
    except MachineError:
        return []
    return [before + one for one in _beginning(names, typed)]


def _phrases(typed: str) -> Sequence[str]:
    if is_drill(typed):
        return _drills(f"{WORD} ", typed[len(WORD) + 1 :].lstrip())
    return completions(typed, shared_catalogue(), player_ways(None, current_folder()))
