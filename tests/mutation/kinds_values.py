"""Slips of the pen in values and addresses, and in whole rows: each must be refused, with its own line named."""

from __future__ import annotations

import re
from collections.abc import Iterator

from bench import DROP, Base, Site, Slip, kind
from kinds_writing import Entry, at_key, at_value, entries, in_values

UNITS = {"m": "m", "hz": "Hz", "db": "dB", "ms": "ms", "mhz": "MHz", "a": "A", "w": "W", "watts": "W", "hours": "h"}
UNITS |= {"volts": "V", "mm2": "mm2", "dba": "dBA", "ohm": "ohm", "ma": "mA", "dbu": "dBu", "khz": "kHz"}


# -- numbers, switches and dates -----------------------------------------------------------------------------------


def numbers(base: Base) -> Iterator[tuple[Entry, str]]:
    """Yield every number of the files, as it is written."""
    for entry in entries(base):
        if isinstance(entry.value, int | float) and not isinstance(entry.value, bool):
            here = base.lines[entry.file][entry.value_at[0] - 1][entry.value_at[1] - 1 :]
            found = re.match(r"-?[0-9.]+", here)
            if found and entry.key != "rig_format":
                yield entry, found[0]


@kind()
def number_with_its_unit(base: Base) -> Iterator[Site]:
    """A number is written with its unit."""
    for entry, text in numbers(base):
        unit = UNITS.get(entry.key.rpartition("_")[2])
        if unit:
            yield from at_value(base, entry, text, f"{text} {unit}")


@kind()
def number_in_quotes(base: Base) -> Iterator[Site]:
    """A number stands in quotes."""
    for entry, text in numbers(base):
        yield from at_value(base, entry, text, f'"{text}"')


@kind()
def decimal_comma(base: Base) -> Iterator[Site]:
    """A number is written with a comma for its point."""
    for entry, text in numbers(base):
        if "." in text:
            yield from at_value(base, entry, text, text.replace(".", ","))


@kind()
def yes_for_true(base: Base) -> Iterator[Site]:
    """`yes` or `no` is written for true or false."""
    for entry in entries(base):
        if isinstance(entry.value, bool):
            yield from at_value(base, entry, str(entry.value).lower(), "yes" if entry.value else "no")


@kind()
def true_for_on(base: Base) -> Iterator[Site]:
    """`true` or `false` is written for on or off."""
    yield from in_values(base, ("phantom",), {"on": "true", "off": "false"}.__getitem__)


@kind()
def date_the_other_way_round(base: Base) -> Iterator[Site]:
    """A date is written day first, or is no day of the calendar."""
    for entry in entries(base):
        if entry.key in ("date", "until"):
            year, month, day = entry.value.split("-")
            for new in (f"{day}.{month}.{year}", f"{month}/{day}/{year}", f"{year}-02-30"):
                yield from at_value(base, entry, entry.value, new)


# -- addresses -----------------------------------------------------------------------------------------------------


@kind()
def wrong_side_in_an_address(base: Base) -> Iterator[Site]:
    """An input is written for an output, or an output for an input."""
    turned = {"/in/": "/out/", "/out/": "/in/"}

    def turn(text: str) -> str:
        return re.sub(r"/(in|out)/", lambda match: turned[match[0]], text)

    yield from in_values(base, ("plugged_into", "patched_from"), turn)


@kind()
def points_in_an_address(base: Base) -> Iterator[Site]:
    """An address is written with points or spaces between its parts."""
    for mark in (".", " "):
        yield from in_values(base, ("plugged_into", "patched_from"), lambda text, mark=mark: text.replace("/", mark))


@kind()
def patched_from_the_box(base: Base) -> Iterator[Site]:
    """A channel is patched from the box's socket, where the console knows only its own slots."""
    written = {entry.trail: entry for entry in entries(base)}
    for arrival in base.resolved.arrivals.values():
        entry = written.get((*arrival.channel.trail, "patched_from"))
        if entry is not None and arrival.slot and arrival.socket:
            yield from at_value(base, entry, str(entry.value), str(arrival.socket))


@kind()
def range_backwards(base: Base) -> Iterator[Site]:
    """A range is written last to first."""

    def turn(text: str) -> str:
        return re.sub(r"([0-9]+)-([0-9]+)$", r"\2-\1", text)

    yield from in_values(base, ("plugged_into", "same_as", "output_bank", "input_bank"), turn)
    for entry in entries(base):
        if re.fullmatch(r"[0-9]+-[0-9]+", entry.key):
            yield from at_key(base, entry, f"{entry.key}:", f"{turn(entry.key)}:")


@kind()
def channel_that_is_not_there(base: Base) -> Iterator[Site]:
    """A mix takes a channel number that is on no strip."""
    for entry in entries(base):
        if entry.trail[-2:-1] == ("channels",) and "takes" in entry.trail and entry.key.isdigit():
            yield from at_key(base, entry, f"{entry.key}:", "97:")


@kind()
def stereo_mix_on_one_output(base: Base) -> Iterator[Site]:
    """A stereo mix is given one output instead of two."""
    for entry in entries(base):
        stereo = isinstance(entry.value, str) and base.resolved.rig.mixes.get(entry.value)
        if entry.trail[0] == "feeds" and stereo and stereo.width == "stereo":
            yield from at_key(base, entry, f"{entry.key}:", f"{entry.key.partition('-')[0]}:")


@kind()
def side_of_a_mono_mix(base: Base) -> Iterator[Site]:
    """A side is named of a mix that has none."""
    for entry in entries(base):
        mix = isinstance(entry.value, str) and base.resolved.rig.mixes.get(entry.value)
        if (entry.key == "expects" or entry.trail[0] == "feeds") and mix and mix.width == "mono":
            yield from at_value(base, entry, entry.value, f"{entry.value}.left")


# -- whole rows and files ------------------------------------------------------------------------------------------


@kind()
def house_file_misspelt(base: Base) -> Iterator[Site]:
    """The week's file extends a house file that is not there."""
    file = base.document.files[0]
    for name, text in base.texts.items():
        if "extends: ../house.yaml" in text:
            line = text[: text.index("extends:")].count("\n") + 1
            now = text.replace("extends: ../house.yaml", "extends: ../hous.yaml")
            yield Site(file, (), Slip(name, now, range(line, line + 1)))


@kind()
def row_in_use_struck_out(base: Base) -> Iterator[Site]:
    """A device, mix or circuit is struck out while other rows still name it."""
    rig = base.resolved.rig
    fed = {feed.signal.name for feed in rig.feeds.values()} | {s.name for m in rig.mixes.values() for s in m.takes}
    for name, mix in rig.mixes.items():
        if name in fed:
            yield Site(name, ((mix.trail, DROP),))
    for name in rig.devices:
        yield Site(name, ((("devices", name), DROP),))
    used = {row.circuit for row in (*rig.devices.values(), *rig.destinations.values(), *rig.amplifiers.values())}
    for name in rig.circuits:
        if name in used:
            yield Site(name, ((("power", "circuits", name), DROP),))
