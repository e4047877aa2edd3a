"""Makes of the module that is generated an ordinary one, and a stub that a type checker can follow.

The generated code does the right thing when it runs, but its records are dataclasses without fields,
and its enums with fields, its errors and its defaults are built in ways that a type checker cannot
see. This reads it and writes it again: records and variants as dataclasses with their fields that can
be hashed, errors that say what went wrong, and nothing public that serves the generated code alone. A
variant without fields is taken with brackets and without, a text where a value with its unit is
wanted, a `datetime` where a moment is.

Beside it goes a stub of what it means, with its docstrings. A choice with fields is a closed union
there, `StepVerdictCase` for `StepVerdict`, so that a type checker sees whether a `match` is complete.

    python3 stubs.py GENERATED.py FOLDER
"""

import ast
import re
import sys
from collections.abc import Iterable
from pathlib import Path

HEAD = """# Written by stubs.py from the generated module.
import dataclasses
import datetime
import enum
import typing

"""

# What may be written in place of a record, by the record's name, and how it becomes one.
WRITTEN = {
    "Entered": ("str", "Entered(text=value) if isinstance(value, str) else value"),
    "Moment": ("datetime.datetime", "Moment.of(value) if isinstance(value, datetime.datetime) else value"),
}

# What classes have beside what is generated.
MORE = {
    "Instrument": '''
def __repr__(self) -> str:
    try:
        return f"<Instrument {self.name()!r}>"
    except FallawayError:
        return f"<Instrument {self.id()}>"
''',
    "Plan": '''
@property
def next(self) -> typing.Optional[PlanStep]:
    """The step to do next; `None` if everything is settled."""
    return None if self.next_step is None else self.steps[self.next_step]
''',
    "Quantity": '''
@staticmethod
def action(stopped: int, over: int) -> Quantity:
    """Action: from the string's underside to the crown of a fret; `stopped` is 0 for an open string."""
    return Quantity.GAP(stopped, over)
@staticmethod
def nut(stopped: int = 0) -> Quantity:
    """Height at the nut, over the first fret: open, or held at a fret further up, commonly 3."""
    return Quantity.GAP(stopped, 1)
@staticmethod
def relief(first: int, last: int, at: typing.Optional[int] = None) -> Quantity:
    """Relief under a string that is stopped at both ends, where it is largest or at a fret."""
    return Quantity.RELIEF(first, last, at)
''',
    "Location": '''
@staticmethod
def string(course: int, letter: typing.Optional[str] = None) -> Location:
    """A string by its course, 1 on the treble side, and its letter in a course of several."""
    return Location.ONE_STRING(StringPlace(course=course, letter=letter))
''',
    "Moment": '''
@classmethod
def of(cls, at: datetime.datetime) -> Moment:
    """A moment; a time without a zone is by the clock of this device."""
    aware = at if at.tzinfo else at.astimezone()
    offset = aware.utcoffset() or datetime.timedelta()
    return cls(unix_s=int(aware.timestamp()), offset_min=int(offset.total_seconds()) // 60)
def to_datetime(self) -> datetime.datetime:
    """The same as Python has it, with the offset of the place where it was written."""
    zone = datetime.timezone(datetime.timedelta(minutes=self.offset_min))
    return datetime.datetime.fromtimestamp(self.unix_s, zone)
''',
}


def functions_of(source: str) -> list[ast.FunctionDef]:
    return [one for one in ast.parse(source).body if isinstance(one, ast.FunctionDef)]


def docstring(node: ast.ClassDef | ast.FunctionDef, indent: str) -> list[str]:
    """The docstring of something, in Python's words."""
    said = ast.get_docstring(node) or ""
    said = said.replace("# Errors", "Raises:").replace("\\", "\\\\").replace('"""', "'''")
    lines = [line and indent + line for line in said.splitlines()]
    return ['%s"""%s' % (indent, lines[0].strip()), *lines[1:], f'{indent}"""'] if lines else []


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
    # The generated errors do not say of what type their parts are.
    kinds = [annotation(one.annotation) if one.annotation else "typing.Any" for one, _ in found]
    return [(one.arg, kind, given is not None) for (one, given), kind in zip(found, kinds, strict=True)]


def methods(node: ast.ClassDef) -> dict[str, ast.FunctionDef]:
    return {one.name: one for one in node.body if isinstance(one, ast.FunctionDef)}


def nested(node: ast.ClassDef) -> list[ast.ClassDef]:
    return [one for one in node.body if isinstance(one, ast.ClassDef)]


def start(node: ast.ClassDef) -> list[tuple[str, str, bool]]:
    """What the initialiser of a class takes."""
    made = methods(node).get("__init__")
    return parameters(made) if made else []


def is_error(node: ast.ClassDef) -> bool:
    return "Exception" in map(ast.unparse, node.bases)


def is_flat(node: ast.ClassDef) -> bool:
    return "enum.Enum" in map(ast.unparse, node.bases)


def public(body: list[ast.stmt]) -> tuple[ast.Assign, list[str]]:
    """Where the public names are listed, and those of them that do not serve the generated code alone."""
    assigned = (one for one in body if isinstance(one, ast.Assign))
    listed = next(one for one in assigned if ast.unparse(one.targets[0]) == "__all__")
    return listed, [name for name in ast.literal_eval(listed.value) if not name.endswith(("Impl", "Protocol"))]


def ids(body: list[ast.stmt]) -> list[ast.Assign]:
    """Where the types of ids are made, which are texts when it runs."""
    assigned = (one for one in body if isinstance(one, ast.Assign))
    return [one for one in assigned if ast.unparse(one.value) == "str" and ast.unparse(one.targets[0]).endswith("Id")]


def choices(body: list[ast.stmt]) -> dict[str, ast.ClassDef]:
    """The choices with fields, by name. An error, which is written a second time with its variants, is none."""
    classes = [one for one in body if isinstance(one, ast.ClassDef)]
    errors = {one.name for one in classes if is_error(one)}
    return {one.name: one for one in classes if nested(one) and one.name not in errors and not one.bases}


# --- the module as it runs


def as_dataclass(node: ast.ClassDef, is_variant: bool) -> None:
    """A dataclass all the way down, that can be hashed if its fields can."""
    # What the dataclass makes itself, of its fields.
    body = [one for one in node.body if getattr(one, "name", "") not in ("__str__", "__eq__")]
    kept = 1 if ast.get_docstring(node) else 0
    body[kept:kept] = ast.parse("\n".join(f"{name}: {kind!r}" for name, kind, _ in start(node))).body
    node.body = body
    node.decorator_list = [ast.parse("dataclass(unsafe_hash=True)", mode="eval").body]
    made = methods(node).get("__init__")
    if made and is_variant:
        # What may be missing at the end may be left out.
        missing = []
        for one in reversed(made.args.args[1:]):
            if not annotation(one.annotation).startswith("typing.Optional"):
                break
            missing.append(ast.Constant(None))
        if len(missing) > len(made.args.defaults):
            made.args.defaults = list(missing)
    for inside in ast.walk(made) if made else []:
        if isinstance(inside, ast.Assign) and isinstance(inside.value, ast.Name):
            # A variant without fields may be given without its brackets.
            inside.value = ast.parse(f"_instance({inside.value.id})", mode="eval").body


def as_taken(node: ast.ClassDef, makes: str) -> None:
    """A converter that takes what may be written in place of a record or variant."""
    for name in ("check_lower", "write"):
        if function := methods(node).get(name):
            function.body[:0] = ast.parse(f"value = {makes}").body


def plain(source: str) -> str:
    """The generated module as it is handed out."""
    tree = ast.parse(source)
    listed, shown = public(tree.body)
    cases = choices(tree.body)
    unions = [
        f"{name}Case = typing.Union[{', '.join(f'{name}.{one.name}' for one in nested(node))}]"
        for name, node in cases.items()
    ]
    for one in ids(tree.body):
        # A type of its own, so that an id of one thing is not taken for that of another.
        one.value = ast.parse(f"typing.NewType({ast.unparse(one.targets[0])!r}, str)", mode="eval").body
        shown += {ast.unparse(one.targets[0])} - {*shown}
    listed.value = ast.parse(repr([*shown, *(f"{name}Case" for name in cases)]), mode="eval").body
    for node in ast.walk(tree):
        if not isinstance(node, ast.ClassDef):
            continue
        wanted = node.name.removeprefix("_UniffiFfiConverterType")
        if wanted != node.name and wanted in cases:
            as_taken(node, "_instance(value)")
        elif wanted != node.name and wanted in WRITTEN:
            as_taken(node, WRITTEN[wanted][1])
        elif "dataclass" in map(ast.unparse, node.decorator_list):
            as_dataclass(node, any(node in nested(one) for one in cases.values()))
        elif is_flat(node):
            # With brackets or without, as where there are fields.
            node.body += functions_of("def __call__(self):\n    return self")
        elif is_error(node):
            node.body += functions_of(
                "def __str__(self):\n    return self.text() if hasattr(self, 'text') else super().__str__()"
            )
        elif node.name in cases:
            node.body = [one for one in node.body if not re.match("is_[a-z]", getattr(one, "name", ""))]
        if node.name in MORE:
            node.body += functions_of(MORE[node.name])
        for call in methods(node).values():
            with_whole_history(call)
    where = tree.body.index(listed)
    tree.body[where:where] = ast.parse("\n".join(unions)).body
    first = next(place for place, one in enumerate(tree.body) if isinstance(one, ast.ClassDef))
    tree.body[first:first] = ast.parse(
        "def _instance(value):\n    return value() if isinstance(value, type) else value"
    ).body
    return ast.unparse(tree).replace("import datetime\n", "", 1).replace("import enum\n", "import datetime\nimport enum\n", 1)


def with_whole_history(call: ast.FunctionDef) -> None:
    """A filter that is left out filters nothing."""
    for one in call.args.args:
        if annotation(one.annotation) == "HistoryFilter" and call.name == "history":
            one.annotation = ast.parse("typing.Optional[HistoryFilter]", mode="eval").body
            call.args.defaults = [ast.Constant(None)]
            makes = ast.parse(f"{one.arg} = HistoryFilter() if {one.arg} is None else {one.arg}").body
            call.body[1 if ast.get_docstring(call) else 0 : 0] = makes


# --- the stub


class Stub:
    """Writes what the module means."""

    def __init__(self, source: str) -> None:
        self.body = ast.parse(source).body
        _, self.shown = public(self.body)
        self.cases = choices(self.body)
        self.ids = [ast.unparse(one.targets[0]) for one in ids(self.body)]
        self.unions = re.compile(rf"(?<![\w.])({'|'.join(self.cases)})(?![\w.])") if self.cases else None

    def closed(self, kind: str) -> str:
        """A type with each choice as its closed union."""
        return self.unions.sub(r"\1Case", kind) if self.unions else kind

    def taken(self, kind: str) -> str:
        """A type as it may be given to a call."""
        for name, (written, _) in WRITTEN.items():
            kind = re.sub(rf"(?<![\w.]){name}(?![\w.])", f"typing.Union[{name}, {written}]", kind)
        bare = self.unions.sub(r"typing.Union[\1, type[\1]]", kind) if self.unions else kind
        # Only where there is a variant without fields can the brackets be left out.
        for name, node in self.cases.items():
            if all(start(one) for one in nested(node)):
                bare = bare.replace(f"typing.Union[{name}, type[{name}]]", name)
        return bare

    def signature(self, function: ast.FunctionDef, first: str = "", indent: str = "") -> list[str]:
        """A function without its body."""
        words = [first] if first else []
        for name, kind, given in parameters(function):
            words.append(f"{name}: {self.taken(kind)}{' = ...' if given else ''}")
        answer = "None" if function.name == "__init__" else self.closed(annotation(function.returns))
        head = f"{indent}def {function.name}({', '.join(words)}) -> {answer}:"
        said = docstring(function, indent + "    ")
        return [head, *said, f"{indent}    ..."] if said else [f"{head} ..."]

    def members(self, made: Iterable[ast.FunctionDef]) -> list[str]:
        """Methods of a class."""
        lines = []
        for function in made:
            marks = [ast.unparse(mark) for mark in function.decorator_list]
            lines += [f"    @{mark}" for mark in marks]
            first = "" if "staticmethod" in marks else "cls" if "classmethod" in marks else "self"
            lines += self.signature(function, first, "    ")
        return lines

    def fields(self, node: ast.ClassDef, indent: str, is_variant: bool) -> list[str]:
        """The attributes, and the initialiser that sets them from what may be written for them."""
        listed = start(node)
        if not listed:
            return [] if ast.get_docstring(node) else [f"{indent}pass"]
        lines = [f"{indent}{name}: {self.closed(kind)}" for name, kind, _ in listed]
        optional = [kind.startswith("typing.Optional") for _, kind, _ in listed]
        words = ["self"] if is_variant else ["self", "*"]
        for place, (name, kind, given) in enumerate(listed):
            can_miss = given or (is_variant and all(optional[place:]))
            words.append(f"{name}: {self.taken(kind)}{' = ...' if can_miss else ''}")
        return [*lines, f"{indent}def __init__({', '.join(words)}) -> None: ..."]

    def enumeration(self, node: ast.ClassDef) -> list[str]:
        members = [f"    {ast.unparse(one)}" for one in node.body if isinstance(one, ast.Assign)]
        call = [f"    def __call__(self) -> {node.name}: ..."]
        return [f"class {node.name}(enum.Enum):", *docstring(node, "    "), *members, *call]

    def record(self, node: ast.ClassDef) -> list[str]:
        return [
            "@dataclasses.dataclass(init=False, kw_only=True, unsafe_hash=True)",
            f"class {node.name}:",
            *docstring(node, "    "),
            *self.fields(node, "    ", False),
            *self.members(functions_of(MORE.get(node.name, ""))),
        ]

    def variants(self, node: ast.ClassDef) -> list[str]:
        lines = [f"class {node.name}:", *docstring(node, "    ")]
        for one in nested(node):
            mark = "    @dataclasses.dataclass(init=False, unsafe_hash=True)"
            lines += [mark, f"    class {one.name}({node.name}):"]
            lines += [*docstring(one, "        "), *self.fields(one, "        ", True)]
        lines += [f"    def is_{one.name}(self) -> bool: ..." for one in nested(node)]
        lines += self.members(functions_of(MORE.get(node.name, "")))
        union = " | ".join(f"{node.name}.{one.name}" for one in nested(node))
        return [*lines, f"{node.name}Case: typing.TypeAlias = {union}"]

    def error(self, node: ast.ClassDef) -> list[str]:
        lines = [f"class {node.name}(Exception):", *docstring(node, "    ")]
        for one in nested(node):
            listed = start(one)
            lines += [f"    class {one.name}({node.name}):", *docstring(one, "        ")]
            lines += [f"        {name}: {self.closed(kind)}" for name, kind, _ in listed]
            words = ", ".join(["self", *(f"{name}: {self.closed(kind)}" for name, kind, _ in listed)])
            lines.append(f"        def __init__({words}) -> None: ...")
            text = methods(one).get("text")
            lines += self.signature(text, "self", "        ") if text else []
        if nested(node) or ast.get_docstring(node):
            return lines
        # The generator's own, which has no words in the library's source.
        return [*lines, '    """A defect of the library, caught where it crosses: what was stored is kept."""']

    def thing(self, node: ast.ClassDef) -> list[str]:
        """An object of the library, or a class that an app implements."""
        lines = [f"class {node.name}:", *docstring(node, "    ")]
        for name, function in methods(node).items():
            if not name.startswith("_"):
                with_whole_history(function)
                made = self.members([function])
                opens = any(ast.unparse(mark) == "classmethod" for mark in function.decorator_list)
                # A subclass that is opened is itself.
                lines += [line.replace(f"-> {node.name}:", "-> typing.Self:") for line in made] if opens else made
        return [*lines, *self.members(functions_of(MORE.get(node.name, "")))]

    def text(self) -> str:
        """The stub."""
        written = [one for one in self.body if isinstance(one, ast.ClassDef)]
        # An error is written twice, the second time with its variants.
        classes = {one.name: one for one in written}
        errors = {one.name for one in written if is_error(one)}
        functions = {one.name: one for one in self.body if isinstance(one, ast.FunctionDef)}
        lines = [f'{name} = typing.NewType("{name}", str)' for name in self.ids]
        self.shown += [name for name in self.ids if name not in self.shown]
        for name in self.shown:
            if name in self.ids:
                continue
            if name in functions:
                lines += self.signature(functions[name])
                continue
            node = classes[name]
            if is_flat(node):
                lines += self.enumeration(node)
            elif name in errors:
                lines += self.error(node)
            elif name in self.cases:
                lines += self.variants(node)
            elif "__eq__" in methods(node):
                lines += self.record(node)
            else:
                lines += self.thing(node)
        listed = ", ".join(repr(name) for name in [*self.shown, *(f"{name}Case" for name in self.cases)])
        return HEAD + "\n".join([*lines, f"__all__ = [{listed}]", ""])


if __name__ == "__main__":
    generated, folder = map(Path, sys.argv[1:])
    source = generated.read_text(encoding="utf-8")
    (folder / generated.name).write_text(plain(source), encoding="utf-8")
    (folder / f"{generated.stem}.pyi").write_text(Stub(source).text(), encoding="utf-8")
