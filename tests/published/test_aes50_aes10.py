"""Channel counts of digital links: AES50-2011 in the bundled models, AES10-2003 (MADI) as a house's own model.

Sources: AES news pages for AES50-2011 and AES-R6-2011 (read there); AES10-2003, clause 5.1, as an encyclopaedia restates
it. What is from memory says so.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from build_rigs import chain_text, resolved

from lint.check.engine import check_rig
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Port, Slot, Socket, spans
from lint.rig.model import LinkKind, Models, bundled_names

LINK = Port("desk", "link-1")


def links_of(name: str) -> list[LinkKind]:
    model = Models(None).get(name)
    assert model is not None
    return [*model.links.values(), *([model.chain] if model.chain else [])]


# -- AES50 -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", bundled_names())
def test_a_bundled_link_has_the_channels_and_the_reach_of_aes50(name: str) -> None:
    links = links_of(name)
    assert links
    for link in links:
        # AES news page for AES50-2011: up to 48 channels each way over Cat 5, a span of up to 100 m.
        assert (link.slots_at(44100), link.slots_at(48000)) == (48, 48)
        assert link.max_cable_m == 100
        # 24 at double rate: from memory of the standard's table, consistent with D-4.
        assert (link.slots_at(88200), link.slots_at(96000)) == (24, 24)


@pytest.mark.parametrize("name", bundled_names())
def test_d_4_the_audio_on_a_bundled_link_is_the_same_at_single_and_double_rate(name: str) -> None:
    # 48 ch x 48 kHz x 24 bit = 24 ch x 96 kHz x 24 bit = 55.296 Mbit/s: arithmetic.
    for link in links_of(name):
        assert link.slots_at(48000) * 48000 * 24 == link.slots_at(96000) * 96000 * 24 == 55_296_000


@pytest.mark.parametrize(("rate_hz", "slots"), [(44100, 48), (48000, 48), (88200, 24), (96000, 24)])
def test_a_chain_has_slots_up_to_what_the_link_carries_at_the_rigs_rate(rate_hz: int, slots: int) -> None:
    rig = resolved(chain_text("stage-box-32x16", "stage-box-32x16", rate_hz=rate_hz))
    assert rig.chains[LINK].capacity == slots
    assert sorted(slot.number for slot in rig.slot_of.values()) == list(range(1, slots + 1))
    assert rig.socket_at(Slot(LINK, slots)) is not None
    assert rig.socket_at(Slot(LINK, slots + 1)) is None


def test_an_output_past_the_link_carries_nothing() -> None:
    text = chain_text("stage-box-8x8", rate_hz=96000).replace("stage-box-8x8}", "stage-box-8x8, output_bank: 25-32}")
    departure = resolved(text).departure(Socket("box-1", "out", 1))
    assert (departure.slot, departure.signal, departure.stop) == (Slot(LINK, 25), None, "past-link")


def test_a_console_set_to_another_rate_than_the_rig_has_that_rates_slots() -> None:
    text = chain_text("stage-box-32x16").replace("console-48}", "console-48, sample_rate_hz: 96000}")
    assert resolved(text).chains[LINK].capacity == 24


# -- AES10 (MADI) ------------------------------------------------------------------------------------------------

# AES10-2003, clause 5.1: 64 at a nominal 32 to 48 kHz; 56 where the rate may be 12.5 % off; 28 at 64 to 96 kHz, 12.5 %
# off. As slots by rate: up to 48 kHz 64, up to 54 kHz (48 kHz + 12.5 %) 56, up to 108 kHz (96 kHz + 12.5 %) 28.
# TRAP: other texts give 32 at 96 kHz, which that clause does not; a house that has such equipment says 32.
SLOTS = "{48000: 64, 54000: 56, 108000: 28}"
RATES = "[32000, 44100, 48000, 54000, 64000, 88200, 96000, 108000]"
CONSOLE = f"""\
model_format: 1
kind: console
inputs: {{count: 8}}
outputs: {{count: 8}}
channels: 72
links:
  link-1: {{slots: {SLOTS}, max_boxes: 3, cable_kind: coax, max_cable_m: 2000}}
sample_rates_hz: {RATES}
"""
RACK = f"""\
model_format: 1
kind: stage-box
inputs: {{count: 24, addressed: by-chain-order}}
outputs: {{count: 8, addressed: by-selector, selector: [1-8, 57-64, 65-72]}}
chain: {{slots: {SLOTS}}}
sample_rates_hz: {RATES}
"""
AT_RATE = [(32000, 64), (44100, 64), (48000, 64), (54000, 56), (64000, 28), (88200, 28), (96000, 28), (108000, 28)]


@pytest.fixture
def house(tmp_path: Path) -> Path:
    folder = tmp_path / "models"
    folder.mkdir()
    (folder / "coax-console.yaml").write_text(CONSOLE, encoding="utf-8")
    (folder / "rack-24.yaml").write_text(RACK, encoding="utf-8")
    return tmp_path


def racks(house: Path, rate_hz: int, last_plug: str = "box-3/in/17") -> ResolvedRig:
    """Three racks of 24 inputs on one link, 72 in all, with one microphone plugged in."""
    slot = {"box-3/in/8": 56, "box-3/in/9": 57, "box-3/in/16": 64, "box-3/in/17": 65}[last_plug]
    rows = (
        f"sources: {{organ: {{kind: passive-di, plugged_into: {last_plug}}}}}\n"
        f"channels: {{1: {{label: Organ, carries: organ, patched_from: desk/link-1/{slot}}}}}\n"
        "mixes: {house: {kind: house, takes: {channels: [1]}}}\n"
    )
    text = chain_text("rack-24", "rack-24", "rack-24", console="coax-console", rate_hz=rate_hz, rows=rows)
    return resolved(text, house)


@pytest.mark.parametrize(("rate_hz", "slots"), AT_RATE)
def test_the_slots_by_rate(house: Path, rate_hz: int, slots: int) -> None:
    rig = racks(house, rate_hz)
    assert rig.chains[LINK].capacity == slots
    assert spans(sorted(slot.number for slot in rig.slot_of.values())) == f"1–{slots}"


# D-3: 65 channels at 48 kHz, or 57 with 12.5 % vary-speed, must fail.
@pytest.mark.parametrize(
    ("rate_hz", "last", "first_over"), [(48000, "box-3/in/16", "box-3/in/17"), (54000, "box-3/in/8", "box-3/in/9")]
)
def test_d_3_the_channel_after_the_last_has_no_slot(house: Path, rate_hz: int, last: str, first_over: str) -> None:
    kept, lost = racks(house, rate_hz, last), racks(house, rate_hz, first_over)
    assert kept.arrivals["desk", 1].sources == ("organ",)
    assert (lost.arrivals["desk", 1].sources, lost.arrivals["desk", 1].stop) == ((), "no-socket")
    assert [row.weight.value for row in told(kept)] == ["caution"]  # the racks have sockets that reach no one
    (finding,) = told(lost)
    assert finding.weight.value == "no-go"
    assert f"organ in {first_over}" in finding.message


def told(rig: ResolvedRig) -> list:
    return [row for row in check_rig(rig).findings if row.rule == "chain-slots-exceeded"]


@pytest.mark.parametrize(("channels", "rate_hz", "kbit_per_s"), [(56, 54000, 96_768), (64, 48000, 98_304)])
def test_d_1_d_2_what_the_counts_of_aes10_come_to_fits_its_100_mbit_per_s(
    house: Path, channels: int, rate_hz: int, kbit_per_s: int
) -> None:
    # AES10: 32 bits a channel, 100 Mbit/s of data; published: 3.232 % left, and 1.312 % with one 8-bit sync a frame.
    (link,) = racks(house, rate_hz).device("desk").model.links.values()
    assert link.slots_at(rate_hz) == channels
    assert channels * 32 * rate_hz == kbit_per_s * 1000
    sync = 8 * rate_hz if channels == 64 else 0
    free = 1 - (kbit_per_s * 1000 + sync) / 100e6
    assert free * 100 == pytest.approx(3.232 if channels == 56 else 1.312, abs=1e-9)
    assert (channels + 8) * 32 * rate_hz > 100e6  # 64 with vary-speed does not fit, 72 never does
