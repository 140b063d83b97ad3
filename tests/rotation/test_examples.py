"""Everything public in the rotation shows itself at work."""

import ast
from pathlib import Path

import pytest

import generator.rotation

MODULES = sorted(Path(generator.rotation.__file__).parent.glob("*.py"))


def public_functions(path):
    """Functions of a module and methods of its classes, by name."""
    for node in ast.parse(path.read_text("utf-8")).body:
        for one in node.body if isinstance(node, ast.ClassDef) else [node]:
            function = one if isinstance(one, ast.FunctionDef) else None
            if (
                function
                and not function.name.startswith("_")
                and not getattr(node, "name", "").startswith("_")
            ):
                overloads = [mark for mark in function.decorator_list if ast.unparse(mark) == "overload"]
                if not overloads:
                    yield function.name, ast.get_docstring(function) or ""


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.stem)
def test_each_public_function_has_an_example(path):
    assert [name for name, told in public_functions(path) if ">>> " not in told] == []
