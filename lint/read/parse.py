"""YAML text to plain data and, beside it, a tree of positions: one pass over the C parser's events.

Mapping keys stay the text they are written as (`1`, `15-16`), whatever YAML would make of them: every key of ours is
an id, a number or a range, and two spellings of one key can't hide behind each other.
"""

from __future__ import annotations

import math
import re
from pathlib import Path
from typing import Any, NamedTuple

import yaml

from lint.read.collector import paused_collector
from lint.read.document import Mark, Marks, Step
from lint.read.problem import MAX_MESSAGE, CannotReadError, Problem, cannot_read, shortened
from lint.read.scalar import resolve_plain
from lint.read.showable import UNSHOWABLE
from lint.read.slips import Stumble, plain_slip

# The C parser comes with the wheels of PyYAML; where it was built without, the Python one gives the same events.
PARSER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

MOST_MIB = 16
KIND = "a rig file"
STANDARD_INPUT = "-"  # in place of a file's name
MAX_DEPTH = 100
MAX_ALIASED_NODES = 100_000

# Two keys that look alike must be alike: no line break, no space but the plain one, nothing of no width.
_HIDDEN_IN_KEY = re.compile("[\t\n\xa0\xad\u1680\u2000-\u200f\u202f\u205f-\u2064\u3000]")
# YAML 1.2 breaks lines at CR and LF only; the parser would, as YAML 1.1 did, also break at these and so end a comment.
_BREAK = re.compile("\r\n|\r|\n")
_OLD_BREAK = re.compile("[\x85\u2028\u2029]")


def read_bytes(path: Path, shown: str, most_mib: int, kind: str) -> bytes:
    """Return the bytes of a file, refusing what is missing, no plain file, or larger than `most_mib` for its `kind`.

    Raises CannotReadError.
    """
    try:
        if not path.is_file():
            what = "a folder" if path.is_dir() else "a device or a pipe"
            hint = "; of the commands `check` alone reads standard input" if shown == STANDARD_INPUT else ""
            is_there = path.exists()
            raise cannot_read(shown, f"this is {what}, expected a file" if is_there else f"there is no such file{hint}")
        with path.open("rb") as stream:
            raw = stream.read(most_mib * 1024**2 + 1)
    except OSError as error:
        raise cannot_read(shown, f"can't be opened: {error.strerror or error}") from None
    except ValueError:
        raise cannot_read(shown, "this is not a name that a file can have") from None
    _require_short(raw, shown, most_mib, kind)
    return raw


def _require_short(raw: bytes, shown: str, most_mib: int, kind: str) -> None:
    if len(raw) > most_mib * 1024**2:
        raise cannot_read(shown, f"is larger than {most_mib} MiB; {kind} is not that long")


def read_text(path: Path, shown: str) -> str:
    """Return the text of a file, refusing what `read_bytes` refuses, or not UTF-8 (a byte-order mark is allowed).

    Raises CannotReadError.
    """
    return text_of(read_bytes(path, shown, MOST_MIB, KIND), shown)


def text_of(raw: bytes, shown: str) -> str:
    """Return the text that bytes are, as `read_text` does that of a file. Raises CannotReadError."""
    _require_short(raw, shown, MOST_MIB, KIND)
    try:
        if raw[:2] in (b"\xff\xfe", b"\xfe\xff"):
            return raw.decode("utf-16")
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        good = bytes(error.object[: error.start]).decode(error.encoding, "ignore").removeprefix("\ufeff")
        what = f"byte {error.object[error.start]:#04x} is not {error.encoding.upper()[:6].rstrip('-')} text"
        raise cannot_read(shown, f"{what}; save the file as UTF-8", *_line_and_column(good)) from None


def parse(text: str, file: str) -> tuple[Any, Marks]:
    """Return the data of a YAML text and its positions.

    Raises CannotReadError for text that is not YAML, is nested too deeply, repeats a key, uses tags or complex keys,
    holds several documents, or blows up through aliases.
    """
    if not text.isascii() and (found := _OLD_BREAK.search(text)):
        raise _bad_character(text, found.start(), file)
    with paused_collector():
        try:
            return _Builder(text, file).build()
        except yaml.MarkedYAMLError as error:
            raise _syntax_problem(error, text, file) from None
        except yaml.reader.ReaderError as error:
            # The C parser counts the bytes of the UTF-8 text, the Python one the characters.
            by_characters = error.encoding == "unicode"
            index = error.position if by_characters else len(text.encode()[: error.position].decode(errors="ignore"))
            raise _bad_character(text, index, file) from None
        except UnicodeEncodeError as error:
            raise _bad_character(text, error.start, file) from None
        except yaml.YAMLError as error:
            raise cannot_read(file, f"is not readable as YAML: {error}") from None


def _bad_character(text: str, index: int, file: str) -> CannotReadError:
    message = f"the character U+{ord(text[index]):04X} can't stand in a YAML file; take it out"
    return cannot_read(file, message, *_line_and_column(text[:index]))


def _line_and_column(before: str) -> tuple[int, int]:
    """Return the line and column, counted from 1, that follow a text."""
    lines = _BREAK.split(before)
    return len(lines), len(lines[-1]) + 1


def _syntax_problem(error: yaml.MarkedYAMLError, text: str, file: str) -> CannotReadError:
    """Say what the parser says, with the commonest slips in plain words: a tab, a quote that is never closed."""
    mark, opened = error.problem_mark or error.context_mark, error.context_mark
    if mark is None:
        return cannot_read(file, f"is not readable as YAML: {error.problem or error}", 1, 1)
    lines = _BREAK.split(text)
    last = len(lines) - 1
    row, column = (mark.line, mark.column) if mark.line <= last else (last, len(lines[last]))
    problem = error.problem or "the text breaks off"
    if lines[row][column : column + 1] == "\t":
        return cannot_read(file, "a tab stands here; indent with spaces", row + 1, column + 1)
    if opened and "quoted scalar" in (error.context or "") and "end of stream" in problem:
        return cannot_read(file, "the quote that opens here is never closed", opened.line + 1, opened.column + 1)
    if problem.startswith("did not find expected "):
        problem = "expected " + problem.removeprefix("did not find expected ")
    began = (opened.line, opened.column) if opened else None
    if slip := plain_slip(Stumble(problem, row, column, began), lines):
        return cannot_read(file, slip.message, slip.row + 1, slip.column + 1)
    context = f" {error.context}" if error.context else ""
    since = f", which began on line {opened.line + 1}" if opened and opened.line < row else ""
    hint = "; look at the indentation, the colons and the brackets on this line and the one before"
    message = f"is not readable as YAML here{context}{since}: {problem}{hint}"
    return cannot_read(file, message, row + 1, column + 1)


_KINDS = (yaml.ScalarEvent, yaml.MappingStartEvent, yaml.SequenceStartEvent, yaml.AliasEvent)


class _Builder:
    """Walks the event stream once, with its own stack: no recursion, so depth is ours to bound."""

    def __init__(self, text: str, file: str) -> None:
        self._parser = PARSER(text)  # used as a parser only: no value is built by it
        self._file = file
        self._anchors: dict[str, _Anchored] = {}
        self._aliased = 0
        self._made = 0
        self.problems: list[Problem] = []

    def build(self) -> tuple[Any, Marks]:
        """Return the single document's data and marks."""
        get = self._parser.get_event
        get()  # the stream's start
        first = get()
        if isinstance(first, yaml.StreamEndEvent):
            raise cannot_read(self._file, "is empty; expected a map such as `rig_format: 1`", 1, 1)
        value, marks = self._value(get())
        get()  # the document's end
        after = get()
        if not isinstance(after, yaml.StreamEndEvent):
            self._fail(after.start_mark, "a second document starts here; expected one document a file")
        if self.problems:
            raise CannotReadError(self.problems)
        if not isinstance(marks, Marks):
            marks = Marks(self._file, marks, {})
        return value, marks

    def _fail(self, mark: Mark, message: str) -> None:
        raise CannotReadError([*self.problems, self._problem(mark, message)])

    def _problem(self, mark: Mark, message: str) -> Problem:
        return Problem(self._file, mark.line + 1, mark.column + 1, shortened(message, MAX_MESSAGE))

    def _value(self, event: Any) -> tuple[Any, Mark | Marks]:
        """Build the value that starts with `event`."""
        around: list[_Open] = []
        inmost = _Open(self._file, event, False, 0)  # a list that is to hold the one value
        get = self._parser.get_event
        scalar, mapping, sequence, alias = _KINDS
        while True:
            kind = type(event)
            if kind is scalar:
                if inmost.awaits_key:
                    self._key(inmost, event)
                    event = get()
                    continue
                value, marks, height = self._scalar(event), event.start_mark, 0
                if value is None and not event.value and inmost.is_mapping:
                    self._require_colon(inmost, event)
                    if marks.line != inmost.key_end.line:
                        marks = inmost.key_end  # of `? key` alone: nothing stands behind the key, not where the next is
                if event.anchor:
                    self._anchors[event.anchor] = _Anchored(value, marks, 1, 0)
            elif kind is mapping or kind is sequence:
                around.append(inmost)
                inmost = self._opened(around, event, kind is mapping)
                event = get()
                continue
            elif kind is alias:
                value, marks, height = self._alias(inmost, len(around), event)
            else:  # the end of a collection
                value, marks, height = inmost.data, inmost.marks, inmost.height + 1
                if inmost.anchor:
                    size = self._made - inmost.made_before + 1
                    self._anchors[inmost.anchor] = _Anchored(value, marks, size, height)
                inmost = around.pop()
            self._made += 1
            if not around:
                return value, marks
            inmost.add(value, marks, height)
            event = get()

    def _opened(self, around: list[_Open], event: Any, is_mapping: bool) -> _Open:
        if around[-1].awaits_key:
            self._fail(event.start_mark, "a map or list is used as a key here; expected a name or a number")
        if event.tag:
            self._fail(event.start_mark, f"the tag {event.tag} is not used in these files; expected plain YAML")
        if len(around) > MAX_DEPTH:
            self._fail(event.start_mark, f"nested more than {MAX_DEPTH} levels deep")
        return _Open(self._file, event, is_mapping, self._made)

    def _key(self, parent: _Open, event: Any) -> None:
        key = event.value
        if event.tag:
            self._fail(event.start_mark, f"the tag {event.tag} is not used in these files; expected a plain key")
        if key in parent.data:
            first = parent.marks.members[key][0]
            message = f"the key '{_short(key)}' stands here again; it is already on line {first.line + 1}"
            self.problems.append(self._problem(event.start_mark, message))
        if not (key.isascii() and key.isprintable()):
            self._showable(key, event.start_mark)
            if _HIDDEN_IN_KEY.search(key):
                self._fail(event.start_mark, "white space that can't be seen stands in a key; write it without")
        parent.key, parent.key_mark, parent.key_end, parent.awaits_key = key, event.start_mark, event.end_mark, False

    def _require_colon(self, parent: _Open, event: Any) -> None:
        """Refuse a key in braces that stands alone, as in {label:Snare} or {gain_db: 2,5}: it would say nothing."""
        key, end, start = parent.key, parent.key_end, event.start_mark
        if (end.line, end.column) != (start.line, start.column):
            return
        before = next(reversed(parent.data.values()), None)
        name, colon, rest = key.partition(":")
        if name and colon and rest:
            hint = f"expected a space after the colon: '{_short(name)}: {_short(rest)}'"
        elif key.isdigit() and isinstance(before, int | float):
            hint = f"expected a decimal point: {before}.{_short(key)}"
        else:
            hint = f"expected a key with its value: '{_short(key)}: ...'"
        self.problems.append(self._problem(parent.key_mark, f"found '{_short(key)}' alone, {hint}"))

    def _alias(self, inmost: _Open, depth: int, event: Any) -> tuple[Any, Mark | Marks, int]:
        if inmost.awaits_key:
            self._fail(event.start_mark, f"the alias *{event.anchor} is used as a key; expected a name or a number")
        if event.anchor not in self._anchors:
            self._fail(event.start_mark, f"the alias *{event.anchor} stands for nothing (or for what it stands in)")
        value, marks, size, height = self._anchors[event.anchor]
        self._aliased += size
        self._made += size - 1  # the caller counts one
        if self._aliased > MAX_ALIASED_NODES:
            self._fail(event.start_mark, f"aliases repeat more than {MAX_ALIASED_NODES:,} values; write them out")
        if depth + height > MAX_DEPTH:
            self._fail(event.start_mark, f"nested more than {MAX_DEPTH} levels deep")
        return value, marks, height

    def _scalar(self, event: Any) -> Any:
        text = event.value
        if event.tag:
            self._fail(event.start_mark, f"the tag {event.tag} is not used in these files; expected a plain value")
        if not event.implicit[0]:  # quoted or a block: text as it stands
            if not (text.isascii() and text.isprintable()):
                self._showable(text, event.start_mark)
            return text
        try:
            value = resolve_plain(text)
        except ValueError:
            self._fail(event.start_mark, "this number has too many digits")
        if isinstance(value, float) and not math.isfinite(value):
            self._fail(event.start_mark, f"found {text}, expected a finite number")
        if isinstance(value, str) and not (text.isascii() and text.isprintable()):
            self._showable(text, event.start_mark)
        return value

    def _showable(self, text: str, mark: Mark) -> None:
        if found := UNSHOWABLE.search(text):
            surrogate = "\ud800" <= found.group() <= "\udfff"
            code = "half of a surrogate pair" if surrogate else f"U+{ord(found.group()):04X}"
            message = f"the text holds {code}, a control character that could forge a screen; write it without"
            self.problems.append(self._problem(mark, message))


class _Anchored(NamedTuple):
    """What an alias may stand for: how many values it repeats, and how many levels deep they are."""

    value: Any
    marks: Mark | Marks
    size: int
    height: int


class _Open:
    """A collection whose end has not come yet; `height` is that of the highest member so far."""

    __slots__ = (
        "anchor",
        "awaits_key",
        "data",
        "height",
        "is_mapping",
        "key",
        "key_end",
        "key_mark",
        "made_before",
        "marks",
        "members",
    )

    def __init__(self, file: str, event: Any, is_mapping: bool, made: int) -> None:
        self.data: Any = {} if is_mapping else []
        self.members: dict[Step, tuple[Mark, Mark | Marks]] = {}
        self.marks = Marks(file, event.start_mark, self.members)
        self.anchor: str | None = event.anchor
        self.is_mapping = self.awaits_key = is_mapping
        self.key = ""
        self.key_mark: Mark = event.start_mark
        self.key_end: Mark = event.end_mark
        self.made_before = made
        self.height = 0

    def add(self, value: Any, marks: Mark | Marks, height: int) -> None:
        """Take in a finished member."""
        self.height = max(self.height, height)
        if self.is_mapping:
            self.data[self.key] = value
            self.members[self.key] = (self.key_mark, marks)
            self.awaits_key = True
        else:
            own = marks.start if isinstance(marks, Marks) else marks
            self.members[len(self.data)] = (own, marks)
            self.data.append(value)


def _short(text: str) -> str:
    printable = UNSHOWABLE.sub("?", text)
    return printable if len(printable) <= 60 else printable[:57] + "..."
