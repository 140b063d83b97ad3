"""Dates, moments and chance come in from the command line: nothing below reads a clock or draws a seed."""

import ast
from pathlib import Path

import pytest

import generator

ROOT = Path(generator.__file__).parent
OURS = sorted(
    [*ROOT.glob("practice/*.py"), *ROOT.glob("catalogue/*.py"), ROOT / "exchange" / "calendar.py"],
    key=str,
)
CLI = [path for path in sorted(ROOT.glob("cli/*.py")) if path.name not in ("clock.py", "chance.py")]


@pytest.mark.parametrize("path", [*OURS, *CLI], ids=lambda path: str(path.relative_to(ROOT)))
def test_the_clock_is_read_in_one_place(path):
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            owner = ast.unparse(node.func.value)
            reads = node.func.attr in {"now", "today", "utcnow", "time", "fromtimestamp"}
            assert not (reads and ("date" in owner or owner in {"dt", "time"})), f"line {node.lineno}"
        if isinstance(node, ast.Name | ast.Attribute):
            name = node.id if isinstance(node, ast.Name) else node.attr
            assert name not in {"SystemRandom", "urandom", "uuid4", "randrange"}, f"line {node.lineno}"
