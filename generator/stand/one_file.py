"""One file that holds a day's sheet and everything to play from it: no server, no network, no account.

The page's own modules are laid end to end, so they may share no name at the top and import by plain names only
(`tests/stand/test_one_file.py`). What is embedded::

    {"start": as GET /api/start,
     "today": as GET /api/today without pictures,
     "pictures": [{"w": CSS pixels, "pages": {number: [[svg, ...], ...]}}, ...] narrowest first}

Taps stay in the file's browser and come home as the line that `generator/stand/one/home.js` describes.
"""

import base64
import gzip
import hashlib
import json
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
MODULES = (
    "page/api.js",
    "page/prefs.js",
    "page/dom.js",
    "page/outbox.js",
    "page/desk.js",
    "page/sound.js",
    "page/stand.js",
    "page/today.js",
    "one/qr.js",
    "one/home.js",
    "page/page.js",
)
_IMPORT = re.compile(r'^import [^;]*? from "[^"]+";\n', re.MULTILINE)
_EXPORT = re.compile(r"^export (?=async |class |const |function |let )", re.MULTILINE)
_LINKED = re.compile(r'<link rel="(?:icon|stylesheet|modulepreload)"[^>]*>\n|<script [^>]*></script>\n')


def one_file(data: Mapping[str, Any]) -> str:
    """The text of the file.

    Args:
        data: the sheet, as this module's description has it.
    """
    style = _read("page/page.css")
    script = "".join(_EXPORT.sub("", _IMPORT.sub("", _read(name))) for name in MODULES)
    # A "<" in JSON stands only inside a text, where its number means the same and ends no element.
    sheet = _plain({**data, "pictures": _packed(data["pictures"])}).replace("<", "\\u003c")
    policy = (
        f"default-src 'none'; script-src {_digest(script)}; style-src {_digest(style)}; "
        "img-src blob: data:; worker-src blob:"
    )
    page = _LINKED.sub("", _read("page/index.html"))
    head = (
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">\n<style>{style}</style>\n'
        f'<script type="application/json" id="sheet">{sheet}</script>\n'
        f'<script type="text/plain" id="ticker">{_read("page/ticker.js")}</script>\n'
        f'<script type="module">{script}</script>\n</head>'
    )
    before, _, after = page.partition("</head>")
    return before + head + after


def _plain(data: object) -> str:
    return json.dumps(data, ensure_ascii=False, separators=(",", ":"))


def _packed(pictures: object) -> str:
    """Music at three widths is more than a megabyte of text and a fifth of that when packed."""
    return base64.b64encode(gzip.compress(_plain(pictures).encode(), 9, mtime=0)).decode()


def _read(name: str) -> str:
    return (HERE / name).read_text("utf-8")


def _digest(text: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"
