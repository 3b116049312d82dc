"""Problems, settings and plans as plain values (dicts, lists, numbers, text) and back, for a process of their own."""

from __future__ import annotations

import dataclasses
import math
import types
from typing import Any, TypeVar, Union, get_args, get_origin, get_type_hints

Record = TypeVar("Record")

UNLIMITED = "unlimited"  # JSON has no infinite number


def to_plain(value: Any) -> Any:  # any record of this package goes in; plain values come out
    """Plain values of a record; infinite numbers become the word "unlimited".

    Raises
    ------
    ValueError
        If a number is not a number, or endlessly negative.
    """
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {field.name: to_plain(getattr(value, field.name)) for field in dataclasses.fields(value)}
    if isinstance(value, tuple | list):
        return [to_plain(entry) for entry in value]
    if isinstance(value, float) and not math.isfinite(value):
        if value != math.inf:
            raise ValueError(f"{value} is not a number that can be passed on")
        return UNLIMITED
    return value


def from_plain(kind: type[Record], plain: Any) -> Record:  # Any: what JSON gave back
    """The record of this kind that `to_plain` took apart.

    Raises
    ------
    ValueError
        If a field is missing or unknown, or a value is of another kind.
    """
    return _read(kind, plain)  # type: ignore[no-any-return]  # _read returns what `kind` says


def _read(kind: Any, plain: Any) -> Any:  # kinds are type hints, which have no common type
    origin = get_origin(kind)
    if origin in (Union, types.UnionType):
        return _read_one_of([choice for choice in get_args(kind) if choice is not type(None)], plain)
    if origin is tuple:
        return _read_tuple(get_args(kind), plain)
    if dataclasses.is_dataclass(kind):
        return _read_record(kind, plain)
    if kind is float:
        if plain == UNLIMITED:
            return math.inf
        kind = int if isinstance(plain, int) else float
    if not isinstance(plain, kind) or (isinstance(plain, bool) and kind is not bool):
        raise ValueError(f"expected {kind.__name__}, got {plain!r}")
    return plain


def _read_one_of(choices: list[Any], plain: Any) -> Any:  # as for _read
    if plain is None:
        return None
    for choice in choices:
        names = {field.name for field in dataclasses.fields(choice)} if dataclasses.is_dataclass(choice) else None
        if names is None or (isinstance(plain, dict) and set(plain) == names):
            return _read(choice, plain)
    raise ValueError(f"no kind of record fits {plain!r}")


def _read_tuple(kinds: tuple[Any, ...], plain: Any) -> tuple[Any, ...]:  # as for _read
    if not isinstance(plain, list):
        raise ValueError(f"expected a list, got {plain!r}")
    if len(kinds) == 2 and kinds[1] is Ellipsis:
        return tuple(_read(kinds[0], entry) for entry in plain)
    if len(kinds) != len(plain):
        raise ValueError(f"expected {len(kinds)} entries, got {plain!r}")
    return tuple(_read(kind, entry) for kind, entry in zip(kinds, plain, strict=True))


def _read_record(kind: Any, plain: Any) -> Any:  # as for _read
    hints = _hints(kind)
    if not isinstance(plain, dict) or set(plain) != set(hints):
        raise ValueError(f"expected the fields {sorted(hints)} of {kind.__name__}, got {plain!r}")
    return kind(**{name: _read(hints[name], entry) for name, entry in plain.items()})


_known_hints: dict[Any, dict[str, Any]] = {}  # Any: classes, and the type hints of their fields


def _hints(kind: Any) -> dict[str, Any]:
    if kind not in _known_hints:
        _known_hints[kind] = get_type_hints(kind)
    return _known_hints[kind]
