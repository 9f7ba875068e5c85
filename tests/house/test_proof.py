"""A rule's own examples, run: by the public kit, as in `rules try`."""

from __future__ import annotations

from typing import Any

import pytest

from lint.house.load import load_rule
from lint.testing import examples, house_rules

RULE = """
for_each: sources
where: {group: choir}
expect: {box: west-box}
message: "{id} is on {box}"
"""
RIGHT = """
good: [{sources: {choir: {group: choir}}}]
bad: [{rig: {sources: {choir: {group: choir, plugged_into: east-box/in/2}}}, gives: [choir is on east-box]}]
"""


def test_examples_that_are_right_prove_it(house: Any) -> None:
    house.rule(RULE, examples=RIGHT)
    found = examples(*house_rules(house.folder))
    assert [str(example) for example in found] == ["own-rule, good 1", "own-rule, bad 1"]
    for example in found:
        example.prove()


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (("gives: [choir is on east-box]", "gives: [choir is on west-box]"), "given:\n  choir is on east-box"),
        (("east-box/in/2", "west-box/in/3"), "expected:\n  choir is on east-box\ngiven:\n  nothing"),
        (("good: [{sources: {choir: {group: choir}}}]", "good: [{sources: {piano: {group: choir}}}]"), "piano is on east-box"),
        (("plugged_into: east-box/in/2", "pluged_into: east-box/in/2"), "`pluged_into` is not known here; did you mean"),
        (("plugged_into: east-box/in/2", "plugged_into: est-box/in/2"), "est-box"),
    ],
)  # fmt: skip
def test_an_example_that_is_wrong_says_what_differs(house: Any, change: tuple[str, str], says: str) -> None:
    assert change[0] in RIGHT
    house.rule(RULE, examples=RIGHT.replace(*change))
    outcome = ""
    for example in examples(*house_rules(house.folder)):
        try:
            example.prove()
        except AssertionError as error:
            outcome += str(error)
    assert says in outcome


def test_a_rule_that_fails_does_not_prove_its_good_example(house: Any) -> None:
    house.python("own_rule", "def check(rig):\n    raise OSError('gone')\n")
    rule = load_rule(house.folder / "rules" / "own_rule.py")
    with pytest.raises(ValueError, match="needs a good and a bad example"):
        examples(rule)
    from lint.house.proof import examples as of

    (good,) = of(rule)
    with pytest.raises(AssertionError, match="OSError: gone"):
        good.prove()


def test_examples_may_be_merged_into_the_houses_own_file(house: Any) -> None:
    text = (house.folder / "house.yaml").read_text(encoding="utf-8")
    text = text.replace("west-box:", "loft-box:").replace("west-box", "loft-box")
    house_rules_off = "rules: {own-rule: {off: true, because: not now}}\n"
    (house.folder / "house.yaml").write_text(text + house_rules_off, encoding="utf-8")
    house.rule("base: house\n" + RULE.replace("west-box", "loft-box"), examples=RIGHT.replace("west-box", "loft-box"))
    for example in examples(*house_rules(house.folder)):
        example.prove()


def test_in_which_order_a_rule_says_things_does_not_matter(house: Any) -> None:
    both = RIGHT.replace(
        "gives: [choir is on east-box]", "gives: [piano is on east-box, choir is on east-box]"
    ).replace(
        "sources: {choir: {group: choir, plugged", "sources: {piano: {group: choir}, choir: {group: choir, plugged"
    )
    house.rule(RULE, examples=both)
    for example in examples(*house_rules(house.folder)):
        example.prove()
    house.rule(RULE, examples=both.replace("choir is on east-box]", "choir is on east-box, choir is on east-box]"))
    with pytest.raises(AssertionError):
        examples(*house_rules(house.folder))[1].prove()


def test_the_folder_may_be_a_text_and_one_without_rules_is_an_error(house: Any) -> None:
    with pytest.raises(ValueError, match=f"there are no rules in {house.folder}/rules; expected the folder of a house"):
        house_rules(house.folder)
    house.rule(RULE, examples=RIGHT)
    assert [rule.id for rule in house_rules(str(house.folder))] == ["own-rule"]
    with pytest.raises(ValueError, match="there are no rules in"):
        house_rules(house.folder / "rules")


def test_a_name_that_the_example_rig_does_not_know_says_where_names_come_from(house: Any) -> None:
    hint = "write `base: house` into the rule"
    unknown = RIGHT.replace("{sources: {choir: {group: choir}}}", "{channels: {15: {carries: lectern}}}")
    house.rule(RULE, examples=unknown)
    assert hint in examples(*house_rules(house.folder))[0].run().problem
    house.rule("base: house\n" + RULE, examples=unknown)
    told = examples(*house_rules(house.folder))[0].run().problem
    assert "lectern" in told
    assert hint not in told
    house.rule(RULE, examples=RIGHT.replace("group: choir}}}", "grup: choir}}}"))  # a key is not a name
    assert hint not in examples(*house_rules(house.folder))[0].run().problem
