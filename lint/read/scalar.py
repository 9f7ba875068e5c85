"""Plain scalars by the YAML 1.2 core schema (YAML 1.2.2, section 10.3.2), and nothing else.

`no`, `on`, `9:30` and `2026-11-29` are therefore strings, `010` is ten and `1e3` a number.
"""

from __future__ import annotations

import re

Scalar = None | bool | int | float | str

_NULL = frozenset(("", "~", "null", "Null", "NULL"))
_BOOL = {"true": True, "True": True, "TRUE": True, "false": False, "False": False, "FALSE": False}
_INT = re.compile(r"[-+]?[0-9]+")
_OCTAL = re.compile(r"0o[0-7]+")
_HEX = re.compile(r"0x[0-9a-fA-F]+")
_FLOAT = re.compile(r"[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?")
_INFINITY = re.compile(r"[-+]?\.(?:inf|Inf|INF)")
_NAN = frozenset((".nan", ".NaN", ".NAN"))
_MAY_BE_A_NUMBER = frozenset("0123456789+-.")
# Python neither reads nor writes numbers of more than 4,300 digits; nothing in these files needs a tenth of that.
MAX_DIGITS = 400


def resolve_plain(text: str) -> Scalar:
    """Return the value of an unquoted scalar.

    Raises ValueError for a number of more than MAX_DIGITS digits.
    """
    if text in _NULL:
        return None
    if text[0] not in _MAY_BE_A_NUMBER:
        return _BOOL.get(text, text)
    return _number(text)


def _number(text: str) -> Scalar:
    if len(text) > MAX_DIGITS and any(form.fullmatch(text) for form in (_INT, _FLOAT, _OCTAL, _HEX)):
        raise ValueError("too many digits")
    if (text.isdecimal() and text.isascii()) or _INT.fullmatch(text):
        return int(text)
    if _FLOAT.fullmatch(text):
        return float(text)
    if _OCTAL.fullmatch(text):
        return int(text[2:], 8)
    if _HEX.fullmatch(text):
        return int(text[2:], 16)
    if _INFINITY.fullmatch(text):
        return float("-inf" if text[0] == "-" else "inf")
    return float("nan") if text in _NAN else text
