"""The library inside is built for one kind of computer and serves every Python 3: the wheel says so. It
carries the bill of materials where PEP 770 puts it, and the changelog."""

import pathlib
import shutil

from setuptools import Distribution, setup
from setuptools.command.bdist_wheel import bdist_wheel


class WithLibrary(Distribution):
    def has_ext_modules(self) -> bool:
        return True


class EveryPython(bdist_wheel):
    def get_tag(self) -> tuple[str, str, str]:
        return "py3", "none", super().get_tag()[2]

    def egg2dist(self, egginfo_path: str, distinfo_path: str) -> None:
        super().egg2dist(egginfo_path, distinfo_path)
        bills = pathlib.Path(distinfo_path, "sboms")
        bills.mkdir()
        shutil.copy("fallaway.cdx.json", bills)
        shutil.copy("CHANGELOG.md", distinfo_path)


setup(distclass=WithLibrary, cmdclass={"bdist_wheel": EveryPython})
