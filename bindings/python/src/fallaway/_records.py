"""Makes plain dataclasses of the generated records, so that `asdict`, `replace`, `fields` and `repr`
do what a person at a notebook expects."""

import dataclasses
import inspect
from collections.abc import Callable
from types import ModuleType


def make_plain(module: ModuleType) -> None:
    """Gives each record of the generated module, and each variant of its enums, its fields."""
    for name in module.__all__:
        kind = getattr(module, name)
        if not inspect.isclass(kind):
            continue
        if "__eq__" in vars(kind) and _named(kind):
            _give_fields(kind)
        if not issubclass(kind, Exception):
            for variant in list(vars(kind).values()):
                if inspect.isclass(variant) and issubclass(variant, kind):
                    _give_fields(variant)


def _named(kind: type) -> bool:
    start = inspect.signature(kind.__init__)  # type: ignore[misc]
    return all(one.kind is one.KEYWORD_ONLY for one in list(start.parameters.values())[1:])


def _give_fields(kind: type) -> None:
    start = inspect.signature(kind.__init__)  # type: ignore[misc]
    names = [name for name in start.parameters if name != "self"]
    kind.__annotations__ = {name: start.parameters[name].annotation for name in names}
    compare: Callable[[object, object], object] = vars(kind).get("__eq__", kind.__eq__)
    shown = kind.__qualname__
    dataclasses.dataclass(init=False, repr=False, eq=False)(kind)

    def __eq__(self: object, other: object) -> bool:
        return type(self) is type(other) and bool(compare(self, other))

    def __repr__(self: object) -> str:
        inside = ", ".join(f"{name}={getattr(self, name)!r}" for name in names)
        return f"{shown}({inside})"

    for name, function in (("__eq__", __eq__), ("__repr__", __repr__), ("__str__", __repr__)):
        setattr(kind, name, function)
