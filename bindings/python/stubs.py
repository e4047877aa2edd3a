"""Makes of the module that is generated an ordinary one, and a stub that a type checker can follow.

The generated code does the right thing when it runs, but its records are dataclasses without fields,
and its enums with fields, its errors and its defaults are built in ways that a type checker cannot
see. This reads it and writes it again: records and variants as dataclasses with their fields, errors
that say what went wrong, and nothing public that serves the generated code alone. Beside it goes a
stub of what it means.

    python3 stubs.py GENERATED.py FOLDER
"""

import ast
import sys
from pathlib import Path

HEAD = """# Written by stubs.py from the generated module.
import dataclasses
import enum
import typing

"""


def annotation(node: ast.expr | None) -> str:
    """A type as it is meant: one that may be left out is a union with `object` in the generated code."""
    if node is None:
        return "None"
    text = ast.unparse(node)
    before = "typing.Union[object, "
    return text[len(before) : -1] if text.startswith(before) else text


def parameters(function: ast.FunctionDef) -> list[tuple[str, str, bool]]:
    """Names, types, and whether they may be left out; without `self`."""
    arguments = function.args
    plain = [one for one in arguments.args if one.arg not in ("self", "cls")]
    defaults: list[ast.expr | None] = [None] * (len(plain) - len(arguments.defaults))
    found = list(zip(plain, [*defaults, *arguments.defaults], strict=True))
    found += list(zip(arguments.kwonlyargs, arguments.kw_defaults, strict=True))
    return [(one.arg, annotation(one.annotation), given is not None) for one, given in found]


def signature(function: ast.FunctionDef, first: str = "") -> str:
    """A function without its body."""
    words = [first] if first else []
    for name, kind, given in parameters(function):
        words.append(f"{name}: {kind}{' = ...' if given else ''}")
    answer = "None" if function.name == "__init__" else annotation(function.returns)
    return f"def {function.name}({', '.join(words)}) -> {answer}: ..."


def methods(node: ast.ClassDef) -> dict[str, ast.FunctionDef]:
    return {one.name: one for one in node.body if isinstance(one, ast.FunctionDef)}


def nested(node: ast.ClassDef) -> list[ast.ClassDef]:
    return [one for one in node.body if isinstance(one, ast.ClassDef)]


def fields(node: ast.ClassDef) -> list[str]:
    """The attributes that the initialiser sets."""
    start = methods(node).get("__init__")
    listed = parameters(start) if start else []
    return [f"{name}: {kind}{' = ...' if given else ''}" for name, kind, given in listed] or ["pass"]


def enumeration(node: ast.ClassDef) -> list[str]:
    members = [f"    {ast.unparse(one)}" for one in node.body if isinstance(one, ast.Assign)]
    return [f"class {node.name}(enum.Enum):", *members]


def record(node: ast.ClassDef) -> list[str]:
    body = [f"    {line}" for line in fields(node)]
    return ["@dataclasses.dataclass(kw_only=True)", f"class {node.name}:", *body]


def variants(node: ast.ClassDef) -> list[str]:
    lines = [f"class {node.name}:"]
    for one in nested(node):
        lines += ["    @dataclasses.dataclass", f"    class {one.name}({node.name}):"]
        lines += [f"        {line}" for line in fields(one)]
    return lines + [f"    def is_{one.name}(self) -> bool: ..." for one in nested(node)]


def error(node: ast.ClassDef) -> list[str]:
    lines = [f"class {node.name}(Exception):"]
    for one in nested(node):
        start = methods(one).get("__init__")
        names = [name for name, _, _ in parameters(start)] if start else []
        lines.append(f"    class {one.name}({node.name}):")
        lines += [f"        {name}: str" for name in names]
        words = ", ".join(["self", *(f"{name}: str" for name in names)])
        lines.append(f"        def __init__({words}) -> None: ...")
        lines += [f"        {signature(call, 'self')}" for name, call in methods(one).items() if name == "text"]
    return lines if nested(node) else [*lines, "    pass"]


def thing(node: ast.ClassDef) -> list[str]:
    """An object of the library, or a class that an app implements."""
    lines = [f"class {node.name}:"]
    for name, function in methods(node).items():
        if not name.startswith("_"):
            marks = [ast.unparse(mark) for mark in function.decorator_list]
            lines += [f"    @{mark}" for mark in marks]
            first = "cls" if "classmethod" in marks else "self"
            line = signature(function, first)
            # A subclass that is opened is itself.
            lines.append(f"    {line.replace(f'-> {node.name}:', '-> typing.Self:') if marks else line}")
    return lines


def public(body: list[ast.stmt]) -> tuple[ast.Assign, list[str]]:
    """Where the public names are listed, and those of them that do not serve the generated code alone."""
    assigned = (one for one in body if isinstance(one, ast.Assign))
    listed = next(one for one in assigned if ast.unparse(one.targets[0]) == "__all__")
    return listed, [name for name in ast.literal_eval(listed.value) if not name.endswith(("Impl", "Protocol"))]


def plain(source: str) -> str:
    """A generated module with records and variants that are dataclasses all the way down."""
    tree = ast.parse(source)
    listed, shown = public(tree.body)
    listed.value = ast.parse(repr(shown), mode="eval").body
    for node in ast.walk(tree):
        if not isinstance(node, ast.ClassDef):
            continue
        if "dataclass" in map(ast.unparse, node.decorator_list):
            # What the dataclass makes itself, of its fields.
            body = [one for one in node.body if getattr(one, "name", "") not in ("__str__", "__eq__")]
            start = methods(node).get("__init__")
            listed_fields = parameters(start) if start else []
            kept = 1 if ast.get_docstring(node) else 0
            body[kept:kept] = ast.parse("\n".join(f"{name}: {kind!r}" for name, kind, _ in listed_fields)).body
            node.body = body
        elif "Exception" in map(ast.unparse, node.bases):
            node.body += ast.parse(
                "def __str__(self):\n    return self.text() if hasattr(self, 'text') else super().__str__()"
            ).body
    return ast.unparse(tree)


def stub(source: str) -> str:
    """The stub for a generated module."""
    body = ast.parse(source).body
    _, shown = public(body)
    written = [one for one in body if isinstance(one, ast.ClassDef)]
    # An error is written twice, the second time with its variants.
    classes = {one.name: one for one in written}
    errors = {one.name for one in written if "Exception" in map(ast.unparse, one.bases)}
    functions = {one.name: one for one in body if isinstance(one, ast.FunctionDef)}
    lines: list[str] = []
    for name in shown:
        if name in functions:
            lines.append(signature(functions[name]))
            continue
        node = classes[name]
        if "enum.Enum" in map(ast.unparse, node.bases):
            lines += enumeration(node)
        elif name in errors:
            lines += error(node)
        elif nested(node):
            lines += variants(node)
        elif "__eq__" in methods(node):
            lines += record(node)
        else:
            lines += thing(node)
    listed = ", ".join(repr(name) for name in shown)
    return HEAD + "\n".join([*lines, f"__all__ = [{listed}]", ""])


if __name__ == "__main__":
    generated, folder = map(Path, sys.argv[1:])
    source = generated.read_text(encoding="utf-8")
    (folder / generated.name).write_text(plain(source), encoding="utf-8")
    (folder / f"{generated.stem}.pyi").write_text(stub(source), encoding="utf-8")
