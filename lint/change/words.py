"""Fields and their values as the crew says them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from lint.change.compare import Change
from lint.sheet.names import kind_words

_FIELDS = {
    "about": "what it is about",
    "after": "what is saved as the memory after",
    "aligned_to": "what its delay is worked out against",
    "along_stage_m": "the place along the stage in metres",
    "audience": "the audience's exposure",
    "audience_limit_db": "the limit for the audience in dB",
    "asked_by": "who asks for it",
    "because": "the reason",
    "before": "the memory before",
    "breaker_a": "the breaker in amperes",
    "by": "who accepts it",
    "by_block": "the block that it is patched by",
    "cable": "the colour or label of the cable",
    "carries": "what it is meant to carry",
    "circuit": "the mains circuit",
    "clock_from": "what it takes its clock from",
    "continuous_share": "the share of a breaker for what stays on",
    "copied_from": "what it copies",
    "crew": "the crew's exposure",
    "criterion": "the criterion of exposure",
    "date": "the date",
    "delay_ms": "the delay in milliseconds",
    "distance_m": "the distance in metres",
    "doors": "when the doors open",
    "doubles": "the channel that it doubles",
    "ends": "what it joins",
    "expected_spl_db": "the expected level in dB SPL",
    "expects": "what it is meant to carry",
    "fed_by": "what feeds it",
    "frequency_hz": "the frequency in hertz",
    "gain_db": "the gain in dB",
    "guard_hz": "the room beside each carrier in hertz",
    "input_bank": "the input selector",
    "instead": "what is done instead",
    "jurisdiction": "whose electrical code counts",
    "kind": "the kind",
    "label": "the label",
    "latency_ms": "the latency in milliseconds",
    "leader": "the clock leader",
    "least_spacing_hz": "the least spacing of carriers in hertz",
    "least_supply_v": "the least supply in volts",
    "left": "the left one",
    "length_m": "the length in metres",
    "way_at_most": "whether that way is the most it can be",
    "way_m": "the way that it has to reach, in metres",
    "level_db": "the level in dB",
    "level_dbu": "the level in dBu",
    "limits": "the limits",
    "listener": "the link that listens",
    "load": "the mains load",
    "loads": "the other mains loads",
    "location": "the place",
    "may_change": "what it may change",
    "model": "the model",
    "name": "the name",
    "note": "the note",
    "of": "whose it is",
    "output_bank": "the output selector",
    "outputs": "the outputs",
    "own_mix": "the mix of its own",
    "owner": "the link that owns the chain",
    "pan": "the pan",
    "patched_from": "the patch",
    "phantom": "phantom power",
    "points": "where its channels are patched from",
    "powering": "how it is powered",
    "priority": "the priority",
    "ranges_hz": "the ranges of carriers in hertz",
    "right": "the right one",
    "run": "the cable run",
    "sample_rate_hz": "the sample rate in hertz",
    "sensitivity_mv_pa": "the sensitivity in mV/Pa",
    "severity": "how much it weighs",
    "shared_by": "how it shares the output",
    "signal": "what it sends",
    "sockets": "the socket",
    "sources": "what it splits",
    "spare": "the spare",
    "start": "when it starts",
    "state": "the state",
    "supply_ma": "the supply current in mA",
    "tap": "where it is taken",
    "temperature_c": "the air temperature in °C",
    "until": "the last day",
    "volts": "the supply in volts",
    "watts": "the draw in watts",
    "what": "what it is",
    "who": "who sees to it",
    "width": "the width",
    # Of a model:
    "chain": "its ports in the chain",
    "channels": "how many channels it has",
    "hop_ms": "the latency of a hop in milliseconds",
    "inputs": "its inputs",
    "links": "its link ports",
    "sample_rates_hz": "the sample rates in hertz",
    "title": "the title",
}
# What is or is not so: said of a row that it is, and that it is not.
_FLAGS = {
    "shielded": ("shielded from plug to plug", "not shielded from plug to plug"),
    "outdoor": ("outdoors", "indoors"),
    "residual_current_device": ("behind a residual-current device", "not behind a residual-current device"),
    "dimmers": ("shared with dimmers", "not shared with dimmers"),
    "dark": ("dark: nothing on it has mains", "live"),
    "off": ("switched off", "switched on"),
    "dropped": ("left out", "there"),
}
# Values that are words with a hyphen in the file.
_WORDED = frozenset(("kind", "connection", "powering", "tap", "state", "shared_by", "criterion"))


def field_words(field: str) -> str:
    """Return a field in words."""
    return _FIELDS.get(field, f"the {field.replace('_', ' ')}")


def value_words(value: Any) -> str:
    """Return a value in words, short enough for a line."""
    if value is None or value == "":
        return "not stated"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, dict):
        said = [f"{key.replace('_', ' ')} {value_words(member)}" for key, member in value.items() if _is_said(member)]
        return "; ".join(said) or "nothing stated"
    if isinstance(value, list):
        return ", ".join(map(value_words, value)) or "none"
    return f"{value:g}" if isinstance(value, float) else str(value)


def _is_said(value: Any) -> bool:
    return value is not None and value not in ("", [], {})


def became(change: Change) -> str:
    """Say a field of a row as it is now and as it was, in a sentence to be said of the row."""
    assert change.field is not None  # a whole row has no field
    now, was = (_worded(change.field, value) for value in (change.after, change.before))
    if change.field in _FLAGS:
        return f"is {_flag(change.field, change.after)} now (before: {_flag(change.field, change.before)})"
    if change.field == "group":
        return _membership(change)
    if change.field in ("kind", "connection"):
        article = "an" if now[:1] in "aeiou" else "a"
        verb = "is connected as" if change.field == "connection" else f"is {article}"
        return f"{verb} {now} now (before: {was})"
    if not _is_said(change.after):
        return f"{field_words(change.field)} is no longer stated (before: {was})"
    if not _is_said(change.before):
        return f"{field_words(change.field)} is {now} (not stated before)"
    return f"{field_words(change.field)} is {now} (before: {was})"


_SOCKETS = {
    "count": "{}",
    "by_selector": "{} by selector",
    "selector": "selector positions of the {}",
    "phantom": "phantom power of the {}",
    "phantom_group_size": "{} that share a phantom switch",
    "full_scale_dbu": "full scale of the {} in dBu",
}


def model_words(change: Change) -> Iterator[str]:
    """Yield what a model says otherwise than before in one of its fields."""
    assert change.field is not None
    if change.field not in ("inputs", "outputs"):
        yield became(change)
        return
    for key, words in _SOCKETS.items():
        now, was = change.after[key], change.before[key]
        if now != was:
            yield f"{words.format(change.field)}: {value_words(now)} (before: {value_words(was)})"


def said_of(name: str, change: Change) -> str:
    """Say a change of a row as a sentence: `soprano is no longer in the group choir`, `desk: the label is ...`."""
    words = became(change)
    return f"{name} {words}" if words.startswith("is ") else f"{name}: {words}"


def _membership(change: Change) -> str:
    if change.after is None:
        return f"is no longer in the group {change.before}"
    was = f" (before: in the group {change.before})" if change.before else ""
    return f"is in the group {change.after} now{was}"


def _flag(field: str, value: Any) -> str:
    return "not stated" if value is None else _FLAGS[field][not value]


def _worded(field: str, value: Any) -> str:
    words = value_words(value)
    return kind_words(words) if field in _WORDED and isinstance(value, str) else words


def now_and_before(change: Change) -> str:
    """Say a value as it is now and as it was."""
    return f"{value_words(change.after)} (before: {value_words(change.before)})"


def came_and_went(change: Change) -> str:
    """Say what joined a list and what left it, or the whole of it where that says more."""
    now, was = list(change.after or ()), list(change.before or ())
    came, went = [row for row in now if row not in was], [row for row in was if row not in now]
    parts = (
        [f"now takes {', '.join(came)} as well"] if came and was else [f"now takes {', '.join(came)}"] if came else []
    )
    parts += [f"no longer takes {', '.join(went)}"] if went else []
    return "; ".join(parts) or now_and_before(change)
