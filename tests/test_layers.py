"""Imports point down only: rooms in order, core without Django, views and commands on top of their room."""

import ast
from collections.abc import Iterable, Mapping
from pathlib import Path

import pytest
from django.apps import apps
from django.db.migrations.loader import MigrationLoader

ROOT = Path(__file__).resolve().parent.parent
ROOMS = [
    "core",
    "people",
    "journal",
    "farm",
    "growing",
    "waiting",
    "harvest",
    "selling",
    "boxes",
    "care",
    "planning",
    "paper",
    "exchange",
]
CORE_MAY_IMPORT = {"numpy", "highspy"}


def absolute_base(node: ast.ImportFrom, path: Path) -> str:
    """The package or module after `from`, also where it is given by dots."""
    package = path.relative_to(ROOT).with_suffix("").parts[:-1]
    above = package[: len(package) - node.level + 1] if node.level else ()
    return ".".join([*above, *filter(None, [node.module])])


def imported_modules(path: Path) -> set[str]:
    """Absolute names of all modules that `path` imports, also inside functions, and of the names taken from them."""
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            base = absolute_base(node, path)
            names |= {base, *(f"{base}.{alias.name}" for alias in node.names)}
    return names


def room_of(module: str) -> str | None:
    parts = module.split(".")
    return parts[1] if parts[0] == "farmops" and len(parts) > 1 else None


def python_files(folder: str) -> list[Path]:
    return sorted(path for path in (ROOT / folder).rglob("*.py"))


@pytest.mark.parametrize("room", [room for room in ROOMS if (ROOT / "farmops" / room).is_dir()])
def test_a_room_imports_only_itself_and_rooms_below(room):
    below = set(ROOMS[: ROOMS.index(room) + 1])
    wrong = []
    for path in python_files(f"farmops/{room}"):
        allowed = set(below)
        if {"views", "commands"} & set(path.parts) or path.name in {"urls.py", "views.py"}:
            allowed.add("web")
        for module in imported_modules(path):
            other = room_of(module)
            if other in {*ROOMS, "web", "proving"} and other not in allowed:
                wrong.append(f"{path.relative_to(ROOT)} imports {module}")
    assert wrong == []


def test_core_knows_only_the_standard_library_numpy_and_the_solver():
    import sys

    wrong = []
    for path in python_files("farmops/core"):
        for module in imported_modules(path):
            top = module.split(".")[0]
            if top not in {*sys.stdlib_module_names, *CORE_MAY_IMPORT, "farmops"}:
                wrong.append(f"{path.relative_to(ROOT)} imports {module}")
    assert wrong == []


def test_web_imports_no_room():
    wrong = [
        f"{path.relative_to(ROOT)} imports {module}"
        for path in python_files("farmops/web")
        for module in imported_modules(path)
        if room_of(module) in {*ROOMS, "proving"}
    ]
    assert wrong == []


def test_proving_is_imported_by_nobody():
    wrong = [
        f"{path.relative_to(ROOT)} imports {module}"
        for path in python_files("farmops")
        if "proving" not in path.relative_to(ROOT / "farmops").parts
        for module in imported_modules(path)
        if room_of(module) == "proving"
    ]
    assert wrong == []


def test_simulated_worlds_never_see_the_estimator():
    wrong = [
        f"{path.relative_to(ROOT)} imports {module}"
        for path in python_files("farmops/proving")
        if not {"commands", "speed"} & set(path.parts) and path.name != "product.py"
        for module in imported_modules(path)
        if module.startswith("farmops.core.demand")
    ]
    assert wrong == []


def rooms_above(pairs: Iterable[tuple[str, str]]) -> list[tuple[str, str]]:
    """Of the pairs (room, room it leans on), those that lean on a room above, or on one outside the rooms."""
    return [
        (room, other)
        for room, other in pairs
        if room in ROOMS and other in {*ROOMS, "web", "proving"} and other not in ROOMS[: ROOMS.index(room) + 1]
    ]


def test_leaning_upwards_is_seen():
    pairs = [("boxes", "selling"), ("selling", "boxes"), ("farm", "auth"), ("paper", "proving"), ("core", "core")]
    assert rooms_above(pairs) == [("selling", "boxes"), ("paper", "proving")]


def test_tables_point_to_tables_of_rooms_below():
    pairs = {
        (model._meta.app_label, field.related_model._meta.app_label)
        for model in apps.get_models(include_auto_created=True)
        for field in model._meta.get_fields()
        if field.is_relation and field.concrete and not isinstance(field.related_model, str | None)
    }
    assert rooms_above(pairs) == []


def test_migrations_wait_for_migrations_of_rooms_below():
    steps = MigrationLoader(None).disk_migrations
    pairs = {
        (room, other)
        for (room, _), step in steps.items()
        for other, _ in [*step.dependencies, *step.run_before]
        if other != "__setting__"
    }
    assert rooms_above(pairs) == []


def module_name(path: Path) -> str:
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def modules_imported(path: Path, known: set[str]) -> set[str]:
    """Modules of ours that `path` really loads: of `from a import b` the module a.b, or a where b is a name in it."""
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            base = absolute_base(node, path)
            names |= {f"{base}.{alias.name}" if f"{base}.{alias.name}" in known else base for alias in node.names}
    return names & known - {module_name(path)}


def import_cycles(imports: Mapping[str, set[str]]) -> list[list[str]]:
    """Modules that import each other in a ring, each ring sorted."""
    reached = {name: set(imports[name]) for name in imports}
    changed = True
    while changed:
        changed = False
        for seen in reached.values():
            further = set().union(*(reached.get(other, set()) for other in seen)) - seen
            if further:
                seen |= further
                changed = True
    rings = {tuple(sorted(other for other in seen if name in reached[other])) for name, seen in reached.items()}
    return sorted(list(ring) for ring in rings if len(ring) > 1)


def test_a_ring_of_imports_is_seen():
    assert import_cycles({"a": {"b"}, "b": {"c"}, "c": {"b"}, "d": {"a"}}) == [["b", "c"]]


def test_no_module_imports_itself_through_others():
    files = {module_name(path): path for path in python_files("farmops")}
    assert import_cycles({name: modules_imported(path, set(files)) for name, path in files.items()}) == []
