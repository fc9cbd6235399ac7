"""Which modules of a program can come to be imported when some of them are: functions' imports too."""

import modulefinder
from collections.abc import Iterable
from pathlib import Path
from typing import Any


class _Own(modulefinder.ModuleFinder):
    """Follows the modules of one package and no others."""

    def __init__(self, package: Path) -> None:
        super().__init__(path=[str(package.parent)])
        self._package = package.name

    def import_module(self, partname: str, fqname: str, parent: Any) -> Any:
        return super().import_module(partname, fqname, parent) if fqname.partition(".")[0] == self._package else None


def module_names(package: Path, inside: str) -> list[str]:
    """A module of a package with all that it holds, as they are imported: `module_names(Path("calc"), "browser")`."""
    place = package / inside
    files = sorted(place.glob("*.py")) if place.is_dir() else [place.with_suffix(".py")]
    names = [file.relative_to(package.parent).with_suffix("").as_posix().replace("/", ".") for file in files]
    return [name.removesuffix(".__init__") for name in names]


def reached(package: Path, begin: Iterable[str]) -> list[str]:
    """Names of all modules of the package that those named can import, in order of name, those named among them."""
    finder = _Own(package)
    for name in begin:
        finder.import_hook(name)
    return sorted(finder.modules)
