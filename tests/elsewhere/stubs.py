"""Which names the standard library has on another system, read from the stubs that mypy checks with (typeshed)."""

import ast
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import mypy

_STUBS = Path(mypy.__file__).parent / "typeshed" / "stdlib"


@cache
def names(module: str, platform: str) -> frozenset[str]:
    """Everything a module has on a platform, as far as its stub tells."""
    path = _STUBS.joinpath(*module.split("."))
    stub = path / "__init__.pyi" if path.is_dir() else path.with_suffix(".pyi")
    return frozenset(_names(ast.parse(stub.read_text("utf-8")).body, platform))


def missing(module: str, platform: str) -> frozenset[str]:
    """What a module has here and does not have on another platform."""
    return names(module, sys.platform) - names(module, platform)


def _names(body: list[ast.stmt], platform: str) -> Iterator[str]:
    for node in body:
        match node:
            case ast.If():
                yield from _names(node.body if _holds(node.test, platform) else node.orelse, platform)
            case ast.FunctionDef(name=name) | ast.ClassDef(name=name):
                yield name
            case ast.AnnAssign(target=ast.Name(id=name)):
                yield name
            case ast.Assign(targets=targets):
                yield from (one.id for one in targets if isinstance(one, ast.Name))
            case ast.ImportFrom(names=found) | ast.Import(names=found):
                yield from (one.asname or one.name for one in found)


def _holds(test: ast.expr, platform: str) -> bool:
    match test:
        case ast.BoolOp(op=ast.And(), values=values):
            return all(_holds(value, platform) for value in values)
        case ast.BoolOp(op=ast.Or(), values=values):
            return any(_holds(value, platform) for value in values)
        case ast.UnaryOp(op=ast.Not(), operand=operand):
            return not _holds(operand, platform)
        case ast.Compare(left=left, ops=[operator], comparators=[ast.Constant(value=str(other))]) if (
            ast.unparse(left) == "sys.platform"
        ):
            return (platform == other) == isinstance(operator, ast.Eq)
        case ast.Compare():
            known = {"sys": type("", (), {"version_info": sys.version_info, "platform": platform})}
            return bool(eval(ast.unparse(test), {"__builtins__": {}}, known))  # noqa: S307  # mypy's own stubs
    return True
