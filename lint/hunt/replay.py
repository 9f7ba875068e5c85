"""A hunt from keys that are given: what each of them answered, and where that leads."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from lint.hunt.hunt import NO, SKIP, YES, Hunt, Question

BACK, STOP = "b", "q"


class NoAnswerError(ValueError):
    """A key answers nothing where it stands; the text says which, and what would."""


class Said(NamedTuple):
    """A question that was answered, and the key that did."""

    question: Question
    said: str


def answers_to(question: Question) -> tuple[str, ...]:
    """Return the keys that answer a question: what is about safety or a cure is seen or not, and can't be skipped.

    What is to be put back is put back before anything else is asked.
    """
    if question.kind == "put-back":
        return (YES,)
    return (YES, NO, SKIP) if question.kind in ("point", "look") else (YES, NO)


def no_answer(number: int, key: str, question: Question) -> NoAnswerError:
    """Return the error that the key given as answer `number` answers nothing to a question."""
    keys = answers_to(question)
    expected = f"one of {', '.join(keys)}" if len(keys) > 1 else keys[0]
    return NoAnswerError(f"answer {number} is '{key}', expected {expected} to: {question.text}")


def after_the_end(taken: int, key: str) -> NoAnswerError:
    """Return the error that a key was given after the last that a hunt took."""
    return NoAnswerError(f"answer {taken + 1} ('{key}') comes after the end of the hunt, which took {taken}")


def through(hunt: Hunt, keys: Iterable[str]) -> Hunt:
    """Return the hunt after the keys, as a terminal takes them: what answers nothing is passed over."""
    for key in keys:
        question = hunt.question
        if key == STOP or question is None:
            break
        if key == BACK and hunt.answers:
            hunt = hunt.back()
        elif key in answers_to(question):
            hunt = hunt.answered(key)
    return hunt


def replayed(hunt: Hunt, keys: str) -> tuple[Hunt, list[Said]]:
    """Return the hunt after the keys, with every question that stands answered. Raises NoAnswerError."""
    said: list[Said] = []
    for number, key in enumerate(keys, start=1):
        question = hunt.question
        if key == STOP:
            if rest := keys[number:]:
                raise after_the_end(number, rest[0])
            break
        if key == BACK and said:
            hunt = hunt.back()
            said.pop()
            continue
        if question is None:
            raise after_the_end(number - 1, key)
        if key not in answers_to(question):
            raise no_answer(number, key, question)
        said.append(Said(question, key))
        hunt = hunt.answered(key)
    return hunt, said
