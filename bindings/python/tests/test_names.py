"""Every public name says what it is."""

from __future__ import annotations

import ast
import importlib
import inspect
import pathlib
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


def stub() -> ast.Module:
    """What an editor reads of the generated module."""
    core = importlib.import_module("fallaway._core.fallaway").__file__
    assert core
    return ast.parse(pathlib.Path(core).with_suffix(".pyi").read_text(encoding="utf-8"))


def test_an_editor_shows_what_each_class_and_call_is_for() -> None:
    lacking: list[str] = []
    met = 0
    for outer in stub().body:
        if not isinstance(outer, ast.ClassDef | ast.FunctionDef) or outer.name not in fallaway.__all__:
            continue
        inner = outer.body if isinstance(outer, ast.ClassDef) else []
        for node in [outer, *inner]:
            is_call = isinstance(node, ast.FunctionDef) and not node.name.startswith(("_", "is_"))
            if node is outer or is_call:
                met += 1
                if not ast.get_docstring(node):  # type: ignore[arg-type]
                    lacking.append(f"{outer.name}.{getattr(node, 'name', '')}")
    assert met > 300
    assert lacking == []


def test_completion_offers_each_case_once() -> None:
    quantity = fallaway.Quantity.relief(1, 24)
    asked = [name for name in dir(quantity) if name.startswith("is_")]
    assert len(asked) == len({name.lower() for name in asked}), asked
    classes = [node for node in stub().body if isinstance(node, ast.ClassDef)]
    for one in classes:
        names = [node.name for node in one.body if isinstance(node, ast.FunctionDef)]
        asked = [name for name in names if name.startswith("is_")]
        assert len(asked) == len({name.lower() for name in asked}), one.name


def test_nothing_is_left_out_but_what_serves_the_generated_code() -> None:
    shown = {name for name, value in vars(fallaway).items() if not inspect.ismodule(value)}
    others = {name for name in shown - set(fallaway.__all__) if not name.startswith("_")}
    assert all(name.endswith(("Impl", "Protocol")) for name in others), others
