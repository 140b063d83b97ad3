r"""The second lock: a finished page is read once more before LilyPond sees it.

`escape` is the first lock. Should a template ever print a person's words unquoted, this one refuses the page.
It knows nothing of templates: it drops strings and comments, and then every `#`, `$` and backslash word has
to be on a closed list. It errs on the strict side: block comments, `%` stuck to a word, quoted commands
(`\"word"`) and control characters are refused outright, because LilyPond reads them differently in different
places.

Our own include file holds Scheme and is not checked: no person's words reach it.
"""

import re

from generator.errors import EngravingError

# Each form is allowed only in exactly this shape, followed by white space, a closing brace or the end.
SCHEME_FORMS = (
    r"##[tf]",
    r"#-?\d{1,6}(?:\.\d{1,6})?",
    r"""#\(set-default-paper-size "(?:a4|a5|letter|half letter)"(?: 'landscape)?\)""",
    r"#\(set-global-staff-size \d{1,2}(?:\.\d{1,3})?\)",
)

# These words name a file, so what they name is part of the rule.
_NAMING_WORDS = {
    r"\include": re.compile(r'[ \t]+"[a-z0-9][a-z0-9-]*\.ily"'),
    r"\bookOutputName": re.compile(r'[ \t]+"[a-z0-9][a-z0-9-]*"'),
}
_FORBIDDEN_WORDS = frozenset({r"\bookOutputSuffix", r"\maininput", r"\sourcefileline", r"\sourcefilename"})

_CONTROL = r"\x00-\x08\x0b\x0c\x0e-\x1f"
_FORMS = "|".join(form.replace(" ", "[ ]").replace("#", "[#]") for form in SCHEME_FORMS)
_TOKEN = re.compile(
    rf"""
      (?P<string>   " (?: [^"\\{_CONTROL}] | \\. )* " )
    | (?P<comment>  (?: \A | (?<=[ \t\n\r])) % (?![{{}}]) [^\n\r]* )
    | (?P<scheme>   (?: {_FORMS} ) (?= [ \t\n\r}}] | \Z ) )
    | (?P<word>     \\ (?: [^\W\d_] (?: [-_]? [^\W\d_] )* | [^\s\w"] ) )
    | (?P<bad>      [\#$\\%] \S{{0,29}} | " | [{_CONTROL}\x7f\ufeff\ud800-\udfff] )
    """,
    re.VERBOSE | re.DOTALL,
)


def check(text: str, allowed: frozenset[str]) -> None:
    r"""Refuse a finished LilyPond text that holds anything but strings, notes and known words.

    Args:
        text: the whole text of one generated file.
        allowed: the backslash words it may use, with or without the backslash (`score` or `\score`, `\<`).

    Raises:
        EngravingError: names the first word that is not allowed, and its line.
    """
    for found in _TOKEN.finditer(text):
        kind, token = found.lastgroup, found[0]
        if kind == "bad" or (kind == "word" and not _is_allowed(token, allowed, text, found.end())):
            line = text.count("\n", 0, found.start()) + 1
            raise EngravingError(
                f"line {line} of the page text holds {_show(token)}, which no page of ours uses"
            )


def _is_allowed(word: str, allowed: frozenset[str], text: str, end: int) -> bool:
    if word in _FORBIDDEN_WORDS or not (word in allowed or word[1:] in allowed):
        return False
    naming = _NAMING_WORDS.get(word)
    return naming is None or naming.match(text, end) is not None


def _show(token: str) -> str:
    return ascii(token) if not token.isprintable() else f"\u201c{token}\u201d"
