"""Seals and digests against published facts and computed vectors."""

from __future__ import annotations

import hashlib
import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lint.record.seal import NO_SEAL, canonical, digest_of, matches, seal_of, short

# reference/checklist-design.md 3.3: SHA-256 (FIPS 180-4) of the two entries as canonical JSON, computed there.
FIRST = {"seq": 1, "item": "FOH-PWR", "state": "GO", "by": "A", "prev": NO_SEAL}
FIRST_SEAL = "a2ce655f9c8dc13109938b3450a8e19e4a4405f80a6680670bac1aa07faf346f"
SECOND = {"seq": 2, "item": "MON-1", "state": "WAIVED", "by": "B", "prev": FIRST_SEAL}
SECOND_SEAL = "470804862a63b4e100ae316f56b4ff3befdc8a667f1bca04d15250fce93be0cb"


def test_the_two_vectors() -> None:
    assert seal_of(FIRST) == FIRST_SEAL
    assert seal_of(SECOND) == SECOND_SEAL


def test_keys_are_ordered_by_utf_16_code_units() -> None:
    """RFC 8785, section 3.2.3: CR, 1, U+0080, U+00F6, U+20AC, U+1F600, U+FB33."""
    order = ["\r", "1", "\u0080", "\u00f6", "\u20ac", "\U0001f600", "\ufb33"]
    given_order = ["\u20ac", "\r", "\ufb33", "1", "\U0001f600", "\u0080", "\u00f6"]
    text = canonical(dict.fromkeys(given_order, "x")).decode("utf-8")
    assert list(json.loads(text)) == order
    # Python's own sorting is another: the trap that the reference names.
    assert list(json.loads(json.dumps(dict.fromkeys(given_order, "x"), sort_keys=True))) != order


def test_no_white_space_and_utf_8() -> None:
    """RFC 8785, sections 3.2.1 and 3.2.4."""
    assert canonical({"b": [1, True, None], "a": "ä€"}) == '{"a":"ä€","b":[1,true,null]}'.encode()


@pytest.mark.parametrize("value", [1.0, {"a": 0.1}, [float("nan")], 2**53, -(2**53), b"x", {1: "x"}, {"a": {2, 3}}])
def test_what_programs_write_differently_is_refused(value) -> None:
    with pytest.raises(TypeError, match="write it as text"):
        canonical(value)


@pytest.mark.parametrize("value", [2**53 - 1, -(2**53 - 1), True, None, "", [], {}])
def test_what_every_program_reads_alike_is_taken(value) -> None:
    assert json.loads(canonical(value)) == value


SEALABLE = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**53) + 1, 2**53 - 1) | st.text(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4),
)


@given(SEALABLE)
def test_canonical_json_reads_back_and_is_its_own_canonical_form(value) -> None:
    assert json.loads(canonical(value)) == value
    assert canonical(json.loads(canonical(value))) == canonical(value)


def test_a_digest_takes_fractions_as_the_text_they_print_as() -> None:
    assert digest_of({"length_m": 12.5}) == hashlib.sha256(b'{"length_m":"12.5"}').hexdigest()
    assert digest_of({"a": 1, "b": 2}) == digest_of({"b": 2, "a": 1})
    assert digest_of({"a": 12.5}) != digest_of({"a": 12.51})
    assert digest_of([2**60]) == digest_of([str(2**60)])


def test_the_short_form_is_read_back() -> None:
    assert short(FIRST_SEAL) == "a2ce 655f 9c8d c131"
    assert matches(FIRST_SEAL, "A2CE 655F 9C8D C131")
    assert matches(FIRST_SEAL, FIRST_SEAL)
    assert not matches(FIRST_SEAL, "a2ce 655f 9c8d c132")
    assert not matches(FIRST_SEAL, "a2ce 655f")
    assert not matches(FIRST_SEAL, "")
