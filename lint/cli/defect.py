"""A defect in rigwalk itself: one sentence for the user, and a report that can be passed on without personal data."""

from __future__ import annotations

import platform
import sys
import sysconfig
import tempfile
import traceback
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

import typer

from lint.cli.commands import COMMANDS
from lint.page.write import CannotWriteError, write_whole

HOME = Path(__file__).parent.parent  # the folder of the package lint
LIBRARIES = ("pyyaml", "jsonschema", "pluggy", "typer", "rfc8785")


def tell_defect(error: BaseException) -> None:
    """Say in one sentence that rigwalk failed, and leave a report where the user is, or in the temporary folder."""
    said = f"rigwalk itself failed ({type(error).__name__}), and that is a defect in it, not in your rig"
    text = report(error, sys.argv[1:])
    for folder in (Path(), Path(tempfile.gettempdir())):
        try:
            path = _free_name(folder)
            write_whole(path, text)
        except (CannotWriteError, OSError):
            continue
        typer.echo(f"{said}; {path} tells where, without a word of your rig: please read it and pass it on.", err=True)
        return
    typer.echo(f"{said}. No report could be written, so it follows; please pass it on.\n\n{text}", err=True, nl=False)


def report(error: BaseException, arguments: list[str]) -> str:
    """Return the report of a defect: where in rigwalk it was and under what, and no word of the rig.

    The message of the error is left out, since it may quote the rig, and so is each argument that is not an option or
    the name of a command: it may be the name of a file or a person.
    """
    lines = ["rigwalk defect report", "", f"rigwalk {_version('rigwalk')}", f"Python {platform.python_version()}"]
    lines += [f"{platform.system()} {platform.machine()}", f"encoding {sys.stdout.encoding}"]
    lines += [f"{name} {_version(name)}" for name in LIBRARIES]
    lines += ["", "called as: rigwalk " + " ".join(_harmless(word) for word in arguments), ""]
    seen: BaseException | None = error
    while seen is not None:
        lines.append(f"{type(seen).__module__}.{type(seen).__qualname__}")
        lines += [_frame(frame) for frame in traceback.extract_tb(seen.__traceback__, limit=-60)]
        seen = seen.__cause__ or (None if seen.__suppress_context__ else seen.__context__)
        if seen is not None:
            lines += ["", "which came of:"]
    return "\n".join(lines) + "\n"


def _harmless(word: str) -> str:
    if word in COMMANDS:
        return word
    option, equals, _ = word.partition("=")
    if option.startswith("--") and option[2:].replace("-", "").isalpha():
        return option + ("=..." if equals else "")
    return "..."


def _frame(frame: traceback.FrameSummary) -> str:
    """Return one step of the way: with its line in rigwalk, by its place in libraries, and unnamed elsewhere."""
    for root, own in _roots():
        if Path(frame.filename).is_relative_to(root):
            line = f"\n      {frame.line}" if own and frame.line else ""
            return f"  {Path(frame.filename).relative_to(root.parent).as_posix()}:{frame.lineno} {frame.name}{line}"
    return "  (outside rigwalk)"


def _roots() -> list[tuple[Path, bool]]:
    """Return the folders whose files may be named, each with whether it is ours."""
    import lint.rules

    library = Path(sysconfig.get_path("purelib"))
    rules = Path(lint.rules.__file__ or "").parent
    return [(HOME, True), (rules, True), (library, False), (Path(sysconfig.get_path("stdlib")), False)]


def _free_name(folder: Path) -> Path:
    number = 1
    while (path := folder / f"rigwalk-defect-{number}.txt").exists():
        number += 1
    return path


def _version(package: str) -> str:
    try:
        return version(package)
    except PackageNotFoundError:
        return "not installed"
