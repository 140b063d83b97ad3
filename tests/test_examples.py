"""Every public function of the rooms a musician reads first has a runnable example of what goes in and comes out."""

import ast
from collections.abc import Iterator, Sequence
from pathlib import Path

import pytest

GENERATOR = Path(__file__).parents[1] / "generator"
ROOMS = ("theory", "exercise", "rotation", "phrase")


def callables(body: Sequence[ast.stmt], prefix: str = "") -> Iterator[tuple[str, ast.FunctionDef]]:
    """Public functions, methods and constructors of a module by name; properties need no example."""
    for node in body:
        if not isinstance(node, ast.ClassDef | ast.FunctionDef) or node.name.startswith("_"):
            continue
        if isinstance(node, ast.ClassDef):
            yield from callables(node.body, f"{prefix}{node.name}.")
        elif not any("property" in ast.unparse(mark) for mark in node.decorator_list):
            yield prefix + node.name, node


def without_example(text: str) -> list[str]:
    found = callables(ast.parse(text).body)
    return [name for name, node in found if ">>> " not in (ast.get_docstring(node) or "")]


@pytest.mark.parametrize("room", ROOMS)
def test_every_public_function_has_an_example(room: str) -> None:
    modules = sorted((GENERATOR / room).rglob("*.py"))
    assert len(modules) > 1
    missing = [
        f"{path.relative_to(GENERATOR)}: {name}"
        for path in modules
        for name in without_example(path.read_text("utf-8"))
    ]
    assert not missing, "public functions without a runnable example:\n" + "\n".join(missing)


def test_a_function_without_an_example_is_named() -> None:
    text = '''
def shown() -> None:
    """One.

    >>> shown()
    """
def bare() -> None:
    """Two."""
def _own() -> None: ...
class Note:
    @property
    def length(self) -> int:
        """Trivial."""
    @classmethod
    def parse(cls) -> None: ...
class _Own:
    def helper(self) -> None: ...
'''
    assert without_example(text) == ["bare", "Note.parse"]
