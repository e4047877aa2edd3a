"""Every public name says what it is."""

from __future__ import annotations

import inspect
import types
import typing

import fallaway


def undocumented(name: str, value: object) -> list[str]:
    """The name, and those of its parts, that say nothing."""
    if typing.get_origin(value) is not None or isinstance(value, types.UnionType):
        return []  # The cases of a choice, which says what it is itself.
    found = [] if (inspect.getdoc(value) or "").strip() else [name]
    if inspect.isclass(value) and (value.__module__ or "").startswith("fallaway"):
        for part, inner in vars(value).items():
            inner = getattr(inner, "__func__", inner)
            is_call = inspect.isfunction(inner) and not part.startswith(("_", "is_"))
            if is_call or (inspect.isclass(inner) and not part.startswith("_")):
                found += undocumented(f"{name}.{part}", inner)
    return found


def test_every_public_name_is_documented() -> None:
    names = fallaway.__all__
    assert len(names) > 100
    lacking = [part for name in names for part in undocumented(name, getattr(fallaway, name))]
    assert lacking == []


def test_nothing_is_left_out_but_what_serves_the_generated_code() -> None:
    shown = {name for name, value in vars(fallaway).items() if not inspect.ismodule(value)}
    others = {name for name in shown - set(fallaway.__all__) if not name.startswith("_")}
    assert all(name.endswith(("Impl", "Protocol")) for name in others), others
