"""Every word a person reads can be translated: none stands bare in a template or in a refusal."""

import ast
import re

import pytest
from django.conf import settings

HOME = settings.BASE_DIR / "templates"
# 500.html is shown when anything may be broken, translation too.
TEMPLATES = sorted(path.relative_to(HOME).as_posix() for path in HOME.rglob("*.html") if path.name != "500.html")
MODULES = sorted((settings.BASE_DIR / "farmops").rglob("*.py"))
SPOKEN = {"Refused", "NeedsYes", "NotLetIn", "ValidationError", "CommandError", "Fault", "CellFault"}
READ_ALOUD = re.compile(r'\b(?:aria-label|placeholder|title|alt|data-sending|data-reading)="([^"]*)"')
# Shown as they are in every language.
MAY_STAND = {"EC", "pH", "PDF", "CSV", "XLSX", "lb", "oz", "kg", "g", "Bench", "to", "Stall", "UTF"}


def bare_words(text: str) -> list[str]:
    """Letters that stand outside tags of both languages, and in attributes that are read aloud."""
    plain = re.sub(r"{%\s*comment.*?endcomment\s*%}|{#.*?#}", "", text, flags=re.DOTALL)
    plain = re.sub(r"{%\s*blocktranslate.*?endblocktranslate\s*%}", "", plain, flags=re.DOTALL)
    plain = re.sub(r"{%.*?%}|{{.*?}}", "", plain, flags=re.DOTALL)
    spoken = " ".join(READ_ALOUD.findall(plain))
    plain = re.sub(
        r"<(style|script|code)\b.*?</\1>|<!--.*?-->|<!doctype[^>]*>", "", plain, flags=re.DOTALL | re.IGNORECASE
    )
    plain = re.sub(r"<[^<>]*>", " ", plain)
    plain = re.sub(r"&\w+;", " ", plain)
    return [word for word in re.findall(r"[^\W\d_]{2,}", f"{plain} {spoken}") if word not in MAY_STAND]


@pytest.mark.parametrize("name", TEMPLATES)
def test_no_word_of_a_template_stands_bare(name: str):
    assert bare_words((HOME / name).read_text(encoding="utf-8")) == []


def test_bare_words_are_found():
    assert bare_words('<p class="x">Hello {{ name }}</p><a title="Go on">{% translate "there" %}</a>') == [
        "Hello",
        "Go",
        "on",
    ]


def bare_refusals(tree: ast.AST) -> list[int]:
    """Lines on which somebody is told something in a string as it stands."""
    return [
        call.lineno
        for call in ast.walk(tree)
        if isinstance(call, ast.Call)
        and getattr(call.func, "id", getattr(call.func, "attr", "")) in SPOKEN
        and any(_is_bare(argument) for argument in call.args[:1])
    ]


def _is_bare(argument: ast.expr) -> bool:
    if isinstance(argument, ast.BinOp):
        return _is_bare(argument.left)
    parts = argument.values if isinstance(argument, ast.JoinedStr) else [argument]
    texts = [part.value for part in parts if isinstance(part, ast.Constant) and isinstance(part.value, str)]
    return any(re.search(r"[a-z] ?[a-z]* [a-z]", text, re.IGNORECASE) for text in texts)


def test_no_refusal_is_said_in_bare_words():
    found = {
        path.relative_to(settings.BASE_DIR).as_posix(): lines
        for path in MODULES
        if (lines := bare_refusals(ast.parse(path.read_text(encoding="utf-8"))))
    }
    assert found == {}


def test_bare_refusals_are_found():
    assert bare_refusals(ast.parse('raise Refused("Not like this.")\nraise Refused(_("Like this."))')) == [1]
