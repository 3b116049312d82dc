"""DEVELOPERS.md names every command and every setting, and none that is gone."""

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
SETTING = re.compile(r"\b(FARMOPS_[A-Z_]+|DATABASE_URL|CI)\b")


def documented(section: str) -> list[str]:
    """First words in code type of each list line in a section of DEVELOPERS.md."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    body = re.search(rf"^## {section}\n(.*?)(?=^## |\Z)", text, re.MULTILINE | re.DOTALL)
    assert body is not None, f"DEVELOPERS.md has no section '{section}'"
    return re.findall(r"^- `([A-Za-z_]+)", body.group(1), re.MULTILINE)


def commands() -> list[str]:
    """Our own commands; `test` is not Django's, so it has no module of its own."""
    modules = (ROOT / "farmops").glob("*/management/commands/*.py")
    return sorted({"test", *(path.stem for path in modules if not path.stem.startswith("_"))})


def settings_read() -> list[str]:
    """Names of environment variables that the code reads; those in strings only, so that prose does not count."""
    files = [*(ROOT / "farmops").rglob("*.py"), ROOT / "manage.py", *(ROOT / "tests").rglob("conftest.py")]
    texts = [path.read_text(encoding="utf-8") for path in files]
    read = re.compile(r"""(?:environ(?:\.get\(|\[|\.setdefault\()|_flag\()\s*["']([A-Z_]+)["']""")
    return sorted({name for text in texts for name in read.findall(text) if SETTING.fullmatch(name)})


def test_every_command_is_documented_and_no_other():
    assert documented("Commands") == commands()


def test_every_setting_is_documented_and_no_other():
    assert documented("Settings") == settings_read()
