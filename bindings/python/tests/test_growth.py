"""A library that is newer than the code that was generated for the app: one of the choices that it
answers has a variant more. `cargo tool test python` builds it."""

import importlib.metadata
import os
import pathlib
import shutil
import subprocess
import sys

import pytest

import fallaway as f

GROWN = os.environ.get("FALLAWAY_GROWN_LIBRARY")
APP = """
import sys
import fallaway as f

more = {} if sys.argv[1] == "usual" else {"face": int(sys.argv[1])}
options = f.WorkshopOptions(folder=sys.argv[2], label="tech", **more)
with f.Workshop.open(options) as workshop:
    bass = workshop.add_instrument("bass-4", "walnut bass")
    remark = bass.add_remark("wrong instrument")
    print(f.face(), bass.retract(remark, "slip"))
"""


def test_the_usual_face_is_that_of_the_library() -> None:
    assert f.WorkshopOptions(folder="", label="").face == f.face()


def test_the_library_says_its_version() -> None:
    assert f.__version__ == f.version() == importlib.metadata.version("fallaway")
    with f.workshop_in_memory("tech") as workshop:
        assert workshop.diagnostics().startswith(f"fallaway: {f.version()}\n")


@pytest.mark.skipif(GROWN is None, reason="`cargo tool test python` builds it")
def test_what_came_later_is_newer_and_not_an_error(tmp_path: pathlib.Path) -> None:
    shutil.copytree(pathlib.Path(f.__file__).parent, tmp_path / "fallaway")
    (library,) = (tmp_path / "fallaway/_core").glob("*fallaway_ffi.*")
    shutil.copyfile(str(GROWN), library)

    def run(face: str) -> subprocess.CompletedProcess[str]:
        app = [sys.executable, "-c", APP, face, str(tmp_path / face)]
        return subprocess.run(
            app, capture_output=True, text=True, cwd=tmp_path, env={"PYTHONPATH": str(tmp_path)}
        )

    usual = run("usual")
    assert usual.stdout.split() == ["2", "RetractOutcome.NEWER"], usual.stderr
    # What would become of it if the app had said that it knows the newer face: unreadable.
    assert "InternalError" in run("2").stderr
