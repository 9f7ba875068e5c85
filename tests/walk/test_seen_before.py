"""What an earlier walk saw to be no-go is told with the item, until a later one saw it go."""

from __future__ import annotations


def walked(house, lines: list[str]) -> str:
    done = house.run([*lines, "q"], "--by", "A. Adams", "--new")
    return " ".join(done.stdout.split())


def signed_no_go(house, seen: str, cure: str) -> None:
    house.run([f"n {seen}", cure, "s", "L. Lead", "no-go"], "--by", "A. Adams", "--new")


def test_it_is_told_with_what_was_done_until_it_was_seen_go(small) -> None:
    said = walked(small, [])
    assert "No-go on" not in said
    signed_no_go(small, "selector loose", "nothing yet")
    assert "No-go on 2026-11-25: seen selector loose; nobody noted what was done." in walked(small, [])
    signed_no_go(small, "selector loose again", "tightened it")
    assert "No-go on 2026-11-25: seen selector loose again; done: tightened it." in walked(small, [])
    done = small.run(["g", "g", "g", "65", "g", *["g"] * 6, "L. Lead", "g"], "--by", "A. Adams", "--new")
    assert "signed by" in done.stdout, done.stdout
    assert "No-go on" not in walked(small, [])
