"""Patterns: what they mean, by the library's own engine, and that no text and no pattern can make them run away."""

from __future__ import annotations

import re
import time
from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rigs import examples

from lint.house.pattern import MAX_LENGTH, PatternError, glob, matcher

ATOM = st.sampled_from(
    ["a", "b", ".", "[ab]", "[^a]", r"\d", r"\w", r"\s", r"[\s\S]", r"\.", "-", "[a-c-]", "[-a]", r"[\d-]"]
)
QUANTITY = st.sampled_from(["", "", "", "?", "*", "+", "{2}", "{1,3}", "{2,}"])
PATTERN = st.builds(
    lambda start, items, end: start + "".join(map("".join, items)) + end,
    st.sampled_from(["", "^"]),
    st.lists(st.tuples(ATOM, QUANTITY), max_size=6),
    st.sampled_from(["", "$"]),
)


@examples(10)
@given(PATTERN, st.text("ab1 -.\n_", max_size=10))
def test_a_pattern_matches_where_the_library_says_so(pattern: str, text: str) -> None:
    same = re.sub(r"\$$", r"\\Z", pattern)
    assert bool(matcher(pattern)(text)) == bool(re.search(same, text, re.ASCII))


@pytest.mark.parametrize(
    ("pattern", "text", "matches"),
    [
        (r"^\d$", "߀", False),  # ECMA 262: \d is 0 to 9 only
        (r"^\w$", "é", False),
        (r"^\s$", "\u2003", True),
        (r"^\s$", "\ufeff", True),
        ("^a$", "a\n", False),
        ("^.$", "\u2028", False),
        ("^.$", "𝄞", True),
        (r"^\u0041$", "A", True),
        (r"a\$", "a$", True),
        ("^$", "", True),
        ("", "anything", True),
    ],
)
def test_the_meaning_is_that_of_ecma_262(pattern: str, text: str, matches: bool) -> None:
    assert bool(matcher(pattern)(text)) is matches


@pytest.mark.parametrize("pattern", ["[a--b]", "[--a]", "[a&&b]", "[a||b]", "[a~~b]", "[[a]", "[a-[]", "[!--]"])
def test_no_class_makes_the_library_warn(pattern: str, recwarn: pytest.WarningsRecorder) -> None:
    with suppress(PatternError):
        matcher(pattern)
    assert [str(one.message) for one in recwarn] == []


@pytest.mark.parametrize(
    "pattern",
    ["(a+)+$", "a|b", "(?=a)", r"\bword", r"(a)\1", "a**", "*a", "+", "a{3,1}", "[", "[]", "[z-a]", "a^b", "a$b", "a]",
     r"\p{L}", "\\", "x" * (MAX_LENGTH + 1), "a{999}", "a{0,400}b{0,400}"],
)  # fmt: skip
def test_what_is_no_such_pattern_is_refused_in_words(pattern: str) -> None:
    with pytest.raises(PatternError, match=r"pattern|class|backwards"):
        matcher(pattern)


@pytest.mark.parametrize(
    "pattern",
    ["^a*a*a*a*a*a*a*a*a*a*b$", ".*.*.*.*.*.*.*.*=", "^" + "a?" * 60 + "a" * 60 + "$", "^[a-z]*[a-z]*[a-z]*[0-9]$", "a{1,99}a{1,99}b",
     glob("*a*a*a*a*a*a*a*a*a*a*b"), glob("?*" * 40 + "b")],
)  # fmt: skip
def test_a_hostile_pattern_takes_no_time(pattern: str) -> None:
    """Backtracking engines take longer than the age of the hall for some of these."""
    start = time.process_time()
    assert not matcher(pattern)("a" * 400)
    assert time.process_time() - start < 1.0


@examples(5)
@given(st.text("ab*?", max_size=6), st.text("ab", max_size=6))
def test_a_wildcard_reads_as_one_would(wild: str, text: str) -> None:
    def plainly(pattern: str, rest: str) -> bool:
        if not pattern:
            return not rest
        if pattern[0] == "*":
            return any(plainly(pattern[1:], rest[index:]) for index in range(len(rest) + 1))
        return bool(rest) and pattern[0] in ("?", rest[0]) and plainly(pattern[1:], rest[1:])

    assert bool(matcher(glob(wild))(text)) == plainly(wild, text)
