"""Files and functions that fit on a screen: what is longer hides two things in one."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
FILE, FUNCTION, VIEW, TEMPLATE = 400, 50, 25, 120


def sources(*folders: str, suffix: str = ".py") -> list[Path]:
    return [path for folder in folders for path in sorted((ROOT / folder).rglob(f"*{suffix}"))]


def functions(path: Path) -> Iterator[tuple[str, int, int]]:
    """Each function's name, lines and limit; the docstring is not counted: what it says about itself may be long."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            lines = node.end_lineno - node.lineno + 1
            first = node.body[0]
            if (
                isinstance(first, ast.Expr)
                and isinstance(first.value, ast.Constant)
                and isinstance(first.value.value, str)
            ):
                lines -= first.end_lineno - first.lineno + 1
            yield node.name, lines, VIEW if is_view(node) else FUNCTION


def is_view(node: ast.FunctionDef | ast.AsyncFunctionDef) -> bool:
    """A view takes the request first."""
    return bool(node.args.args) and node.args.args[0].arg == "request"


def too_long(path: Path, limit: int) -> list[str]:
    lines = len(path.read_text(encoding="utf-8").splitlines())
    return [f"{path.relative_to(ROOT)}: {lines} lines, at most {limit}"] if lines > limit else []


def test_no_file_is_longer_than_its_limit():
    written = [path for path in sources("farmops", "tests") if "migrations" not in path.parts]
    files = [*written, ROOT / "manage.py"]
    assert [words for path in files for words in too_long(path, FILE)] == []


def test_no_template_is_longer_than_its_limit():
    assert [words for path in sources("templates", suffix=".html") for words in too_long(path, TEMPLATE)] == []


def test_no_function_is_longer_than_its_limit():
    wrong = [
        f"{path.relative_to(ROOT)} {name}: {lines} lines, at most {limit}"
        for path in sources("farmops", "tests")
        for name, lines, limit in functions(path)
        if lines > limit
    ]
    assert wrong == []


@pytest.mark.parametrize(
    ("source", "lines", "limit"),
    [
        ("def a():\n    return 1\n", 2, 50),
        ('def a():\n    """One.\n\n    Two.\n    """\n    return 1\n', 2, 50),
        ("async def a(\n    b,\n):\n    return b\n", 4, 50),
        ("def a(request):\n    return 1\n", 2, 25),
    ],
)
def test_lines_are_counted_without_the_docstring(tmp_path, source, lines, limit):
    (tmp_path / "a.py").write_text(source, encoding="utf-8")
    assert list(functions(tmp_path / "a.py")) == [("a", lines, limit)]
