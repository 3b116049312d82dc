"""Imports point down only: rooms in order, core without Django, views and commands on top of their room."""

import ast
from pathlib import Path

import pytest

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


def imported_modules(path: Path) -> set[str]:
    """Absolute names of all modules that `path` imports, also inside functions."""
    package = ".".join(path.relative_to(ROOT).with_suffix("").parts[:-1])
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            base = node.module or ""
            if node.level:
                base = ".".join(
                    [*package.split(".")[: len(package.split(".")) - node.level + 1], *filter(None, [base])]
                )
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
        if "commands" not in path.parts and path.name != "product.py"
        for module in imported_modules(path)
        if module.startswith("farmops.core.demand")
    ]
    assert wrong == []
