"""Who may import whom, read from the source with ast; and what the pure packages must not touch."""

import ast
import dataclasses
import importlib
import pkgutil
import sys
from collections.abc import Iterator
from graphlib import TopologicalSorter
from pathlib import Path

import pytest

import generator
from generator.catalogue.players import player_named
from generator.catalogue.tables import shared_catalogue
from generator.phrase import expand

ROOT = Path(generator.__file__).parent
# The house, floor by floor: a room may use any room on a floor below its own, and none beside or above it.
LAYERS = [
    {"errors"},
    {"files", "theory", "rotation"},
    {"exercise", "practice_log"},
    {"catalogue", "pages"},
    {"phrase", "engraving", "exchange"},
    {"passage"},
    {"documents"},
    {"section"},
    {"publish"},
    {"practice"},
    {"progress"},
    {"api"},
    {"stand"},
    {"cli"},
    {"__main__"},
    {"__init__"},
]
RANK = {name: rank for rank, names in enumerate(LAYERS) for name in names}
PURE = ("theory", "exercise", "rotation", "pages")
# The program's surroundings: files, other programs, chance and the clock come in from outside.
IMPURE = {
    "os",
    "pathlib",
    "sqlite3",
    "subprocess",
    "random",
    "time",
    "io",
    "shutil",
    "tempfile",
    "secrets",
    "socket",
}
CLOCK_READERS = {"now", "today", "utcnow"}
# Columns that are filled while a log is read; never handed on.
WORKING_STATE = {"generator.rotation.replay.State"}
MODULES = sorted(ROOT.rglob("*.py"))
CONTAINERS = {
    "list",
    "dict",
    "set",
    "bytearray",
    "List",
    "Dict",
    "Set",
    "MutableMapping",
    "MutableSequence",
    "MutableSet",
}


def part_of(path: Path) -> str:
    """The package or module directly under generator/ that a file belongs to."""
    inside = path.relative_to(ROOT)
    return inside.parts[0] if len(inside.parts) > 1 else inside.stem


def imported(tree: ast.AST) -> list[str]:
    """Every module a file imports, wherever the import stands."""
    found: list[str] = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found += [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "relative imports hide the direction"
            module = node.module or ""
            found += [f"{module}.{a.name}" for a in node.names] if module == "generator" else [module]
    return found


def own_imports(path: Path) -> list[str]:
    names = imported(ast.parse(path.read_text("utf-8")))
    return [n.split(".")[1] for n in names if n.startswith("generator.")]


def modules_of(*packages: str) -> list[Path]:
    return [p for p in MODULES if part_of(p) in packages]


def test_every_room_has_its_floor_and_no_module_lies_loose() -> None:
    assert {part_of(p) for p in MODULES} == set(RANK)
    assert {p.stem for p in ROOT.glob("*.py")} == {"__init__", "__main__", "errors"}


def test_one_class_name_means_one_thing() -> None:
    homes: dict[str, list[str]] = {}
    for path in MODULES:
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.ClassDef):
                homes.setdefault(node.name, []).append(str(path.relative_to(ROOT)))
    assert len(homes) > 100
    assert {name: where for name, where in homes.items() if len(where) > 1} == {}


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(ROOT)))
def test_imports_go_one_way(path: Path) -> None:
    part = part_of(path)
    for other in set(own_imports(path)) - {part}:
        assert RANK[other] < RANK[part], f"{part} may not import {other}"
    # errors imports nothing at all.
    if part == "errors":
        assert imported(ast.parse(path.read_text("utf-8"))) == []


def _module_name(path: Path) -> str:
    return ".".join(("generator", *path.relative_to(ROOT).with_suffix("").parts)).removesuffix(".__init__")


def _exact(tree: ast.AST, known: set[str]) -> Iterator[str]:
    """Modules a file imports, a module out of a package by its own name."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            module = node.module or ""
            full = [f"{module}.{alias.name}" for alias in node.names]
            yield from (name if name in known else module for name in full)


def test_no_part_and_no_module_goes_round() -> None:
    # Packages of the program count as one; modules inside a package must not go round either.
    names = {path: _module_name(path) for path in MODULES}
    known = set(names.values())
    parts: dict[str, set[str]] = {}
    modules: dict[str, set[str]] = {}
    for path, name in names.items():
        parts.setdefault(part_of(path), set()).update(set(own_imports(path)) - {part_of(path)})
        modules[name] = {m for m in _exact(ast.parse(path.read_text("utf-8")), known) if m in known}
    tuple(TopologicalSorter(parts).static_order())
    tuple(TopologicalSorter(modules).static_order())


@pytest.mark.parametrize("path", modules_of("theory"), ids=lambda p: p.name)
def test_theory_imports_only_the_standard_library(path: Path) -> None:
    foreign = {n.split(".")[0] for n in imported(ast.parse(path.read_text("utf-8")))} - {"generator"}
    assert foreign <= set(sys.stdlib_module_names)
    assert set(own_imports(path)) <= {"errors", "theory"}


@pytest.mark.parametrize("path", modules_of(*PURE), ids=lambda p: str(p.relative_to(ROOT)))
def test_pure_packages_touch_no_file_program_chance_or_clock(path: Path) -> None:
    tree = ast.parse(path.read_text("utf-8"))
    assert not {n.split(".")[0] for n in imported(tree)} & IMPURE
    assert "files" not in own_imports(path)
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            assert node.func.attr not in CLOCK_READERS, f"line {node.lineno} reads the clock"
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            assert node.func.id not in {"open", "print", "input", "eval", "exec", "__import__"}, (
                f"line {node.lineno}"
            )


def dataclasses_in(*packages: str) -> list[type]:
    found: list[type] = []
    for package in packages:
        if not (ROOT / package / "__init__.py").exists():
            continue
        home = importlib.import_module(f"generator.{package}")
        for info in pkgutil.iter_modules(home.__path__, f"generator.{package}."):
            module = importlib.import_module(info.name)
            found += [
                value
                for value in vars(module).values()
                if isinstance(value, type)
                and dataclasses.is_dataclass(value)
                and value.__module__ == info.name
            ]
    return found


@pytest.mark.parametrize("record", dataclasses_in(*PURE), ids=lambda c: f"{c.__module__}.{c.__name__}")
def test_records_of_the_pure_packages_are_frozen_and_hold_nothing_that_changes(record: type) -> None:
    if f"{record.__module__}.{record.__name__}" in WORKING_STATE:
        assert not record.__dataclass_params__.frozen  # type: ignore[attr-defined]
        return
    assert record.__dataclass_params__.frozen  # type: ignore[attr-defined]
    assert record.__hash__ is not None
    for field in dataclasses.fields(record):
        words = {
            node.id
            for node in ast.walk(ast.parse(_type_text(field.type), mode="eval"))
            if isinstance(node, ast.Name)
        }
        assert not words & CONTAINERS, f"{field.name} can change"


def _type_text(annotation: object) -> str:
    if isinstance(annotation, str):
        return annotation
    return (
        annotation.__name__
        if isinstance(annotation, type) and not hasattr(annotation, "__args__")
        else str(annotation)
    )


def test_a_built_exercise_and_every_row_of_the_catalogue_can_be_hashed() -> None:
    names = shared_catalogue()
    for table in (
        names.instruments,
        names.forms,
        names.figures,
        names.spans,
        names.rhythms,
        names.articulations,
    ):
        assert len({hash(row) for row in table.rows}) == len(table.rows)
    who = player_named("alto saxophone")
    phrase = "all keys, melodic minor in triads, slur two tongue one"
    made = expand.exercises([phrase], who).exercises
    assert len({hash(e) for e in made}) == len(made) == 12
    assert made == expand.exercises([phrase], who).exercises


def test_only_the_child_that_reads_scores_may_name_the_heavy_library() -> None:
    # A cold "today" may not load music21, and a stranger's file may not meet it in our own process.
    for path in MODULES:
        if path.name != "music21_child.py":
            assert "music21" not in {n.split(".")[0] for n in imported(ast.parse(path.read_text("utf-8")))}
