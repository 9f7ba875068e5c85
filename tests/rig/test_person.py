"""Whose name it is, however it is typed, and whose it may be."""

import pytest

from lint.rig.person import may_be_same, same_person


@pytest.mark.parametrize("other", ["ann pell", "Ann Pell.", " ANN  PELL ", "Ánn Pell", "AnnPell", "Änn Pëll"])
def test_one_name_typed_another_way_is_one_person(other: str) -> None:
    assert same_person("Ann Pell", other)


@pytest.mark.parametrize(
    ("one", "other"), [("Ann", "Anna"), ("か", "が"), ("й", "и"), ("Ann Pell", "Ann Pel"), ("", "")]
)
def test_another_name_is_another_person(one: str, other: str) -> None:
    """Marks of other scripts make other letters, and no name is nobody's."""
    assert not same_person(one, other)


@pytest.mark.parametrize("other", ["Ann", "A. Pell", "Pell, Ann", "Pell A.", "Ann P."])
def test_a_name_that_may_be_the_same_is_asked_about(other: str) -> None:
    assert may_be_same("Ann Pell", other)
    assert may_be_same(other, "Ann Pell")


@pytest.mark.parametrize(
    "other", ["Bea Pell", "Ann Roe", "B. Pell", "Ann Pell", "A. Roe", "A. P.", " ".join("abcdefgh")]
)
def test_a_name_that_is_no_other_spelling_is_not(other: str) -> None:
    assert not may_be_same("Ann Pell", other)
