"""The page for embedders is run as it stands, and so are the examples."""

from __future__ import annotations

import datetime
import math
import pathlib
import re
import runpy

import pytest
from bench import set_up_bass

import fallaway

HERE = pathlib.Path(__file__).resolve()


def page() -> pathlib.Path:
    """`docs/embedding/python.md` of the checkout."""
    found = (folder / "docs" / "embedding" / "python.md" for folder in HERE.parents)
    return next(path for path in found if path.is_file())


def test_the_quickstart_runs_as_it_stands(capsys: pytest.CaptureFixture[str]) -> None:
    pytest.importorskip("pandas")
    text = page().read_text("utf-8")
    blocks = list(re.finditer(r"^```python\n(.*?)^```$", text, re.MULTILINE | re.DOTALL))
    assert len(blocks) >= 3
    space: dict[str, object] = {"__name__": "quickstart"}
    for block in blocks:
        # An error names the line of the page.
        above = "\n" * text.count("\n", 0, block.start(1))
        exec(compile(above + block[1], str(page()), "exec"), space)
    shown = capsys.readouterr().out
    assert "Next:" in shown
    assert "Caution: " in shown, "a step to be turned, with what may go wrong"


def test_the_season_of_a_neck(
    tmp_path: pathlib.Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    with fallaway.open_workshop(tmp_path, "tech") as tech:
        set_up_bass(tech)
    example = HERE.parents[1] / "examples" / "season.py"
    monkeypatch.setattr("sys.argv", [str(example), str(tmp_path), "walnut bass"])
    runpy.run_path(str(example), run_name="__main__")
    # Twelve thousandths of an inch are 0.3048 mm.
    assert "0.30 mm" in capsys.readouterr().out


def test_a_year_of_a_notebook(
    tmp_path: pathlib.Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    notebook, picture = tmp_path / "notebook.csv", tmp_path / "year.svg"
    rows = ["day,by,temperature,humidity,hours,relief (feeler 1 thou),action (rule 1/64)"]
    for week in range(52):
        day = datetime.date(2025, 1, 6) + datetime.timedelta(weeks=week)
        # Damp in summer, dry in winter; the neck follows by eight thousandths of an inch.
        humid = 0.5 - 0.5 * math.cos(2 * math.pi * week / 52)
        rows.append(f"{day},tech,20 C,{round(30 + 35 * humid)} %,48,{round(10 + 8 * humid)},5 5 5 6")
    notebook.write_text("\n".join(rows), encoding="utf-8")
    example = HERE.parents[1] / "examples" / "year.py"
    monkeypatch.setattr("sys.argv", [str(example), str(notebook), str(picture)])
    runpy.run_path(str(example), run_name="__main__")
    assert picture.read_text("utf-8").count("<circle") >= 52
    assert "52 readings" in capsys.readouterr().out

    notebook.write_text("\n".join([rows[0], rows[1].replace(",10,", ",ten,")]), encoding="utf-8")
    with pytest.raises(SystemExit, match="Row 2"):
        runpy.run_path(str(example), run_name="__main__")
