"""The library inside is built for one kind of computer and serves every Python 3: the wheel says so."""

from setuptools import Distribution, setup
from setuptools.command.bdist_wheel import bdist_wheel


class WithLibrary(Distribution):
    def has_ext_modules(self) -> bool:
        return True


class EveryPython(bdist_wheel):
    def get_tag(self) -> tuple[str, str, str]:
        return "py3", "none", super().get_tag()[2]


setup(distclass=WithLibrary, cmdclass={"bdist_wheel": EveryPython})
