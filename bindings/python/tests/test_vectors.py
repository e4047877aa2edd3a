"""The golden vectors that every language's library must answer, digit by digit."""

from __future__ import annotations

import json
import pathlib
from typing import Any

import pytest
from vector_calls import answer

FILES = (
    "lengths",
    "geometry",
    "strings",
    "clearance",
    "errors",
    "plan",
    "changed",
    "drawings",
    "merges",
)


def vectors() -> pathlib.Path:
    """`tests/vectors` of the checkout."""
    for folder in pathlib.Path(__file__).resolve().parents:
        found = folder / "tests" / "vectors"
        if (found / "README.md").is_file():
            return found
    raise FileNotFoundError("tests/vectors")


def agrees(stated: Any, actual: Any) -> bool:
    """Whether an answer is what the file states, to the last digit that it states."""
    if isinstance(stated, list):
        same = isinstance(actual, list) and len(stated) == len(actual)
        return same and all(agrees(one, other) for one, other in zip(stated, actual, strict=True))
    if isinstance(stated, str) and isinstance(actual, (int, float)):
        decimals = len(stated.partition(".")[2])
        return bool(abs(actual - float(stated)) <= 0.5 * 10**-decimals * (1 + 1e-6))
    return type(stated) is type(actual) and bool(stated == actual)


@pytest.mark.parametrize("file", FILES)
def test_vectors(file: str) -> None:
    whole = json.loads((vectors() / f"{file}.json").read_text("utf-8"))
    wrong = []
    for case in whole["cases"]:
        found = answer(case["call"], case["given"])
        if "error" in found and "error" not in case["expected"]:
            wrong.append(f"{case['name']}: {case['call']} was refused: {found}")
        for field, stated in case["expected"].items():
            if field not in found or not agrees(stated, found[field]):
                wrong.append(f"{case['name']}: {field}: {stated!r}, not {found.get(field)!r}")
    assert not wrong, "\n".join(wrong)
    assert whole["cases"]


def test_every_file_is_read() -> None:
    assert {path.stem for path in vectors().glob("*.json")} == set(FILES)
