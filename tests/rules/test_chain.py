"""Cabling faults that the rules' own examples don't show: one cause one finding, and what each cure leaves."""

from __future__ import annotations

import pytest
from example_rigs import Example

THIRD = """\
devices: {third-box: {model: stage-box-8x8}}
cables: {far: {from: east-box/downstream, to: third-box/upstream}}
sources: {organ: {kind: passive-di, plugged_into: third-box/in/1}}
channels: {4: {label: Organ, carries: organ, patched_from: desk/link-1/25}}
"""
MON = "devices: {mon: {model: console-16}}\n"
MON_CHANNEL = "consoles: {mon: {channels: {1: {carries: lead-vocal, patched_from: mon/link-1/1}}}}\n"
FREE = "devices: {mon: {model: console-32}, own-box: {model: stage-box-8x8}}\nconsoles: {mon: {}}\n"


def three(crossing: str, far: str) -> str:
    """Three boxes in a chain, the ends of the second and third cable given."""
    return THIRD.replace(
        "cables: {far: {from: east-box/downstream, to: third-box/upstream}}", f"cables: {{{crossing}, {far}}}"
    )


def test_three_boxes_in_order_are_a_go(example: Example) -> None:
    assert example.no_goes(THIRD) == []


class TestBackwards:
    """addressing.md: a box in backwards is reported once at the box, and all behind it is silent."""

    MIDDLE = three("crossing: {to: east-box/downstream}", "far: {from: east-box/upstream, to: third-box/upstream}")

    def test_the_middle_box_takes_the_last_with_it_and_is_told_once(self, example: Example) -> None:
        assert example.no_goes(self.MIDDLE) == ["chain-input-from-downstream"]
        (finding,) = example.findings(self.MIDDLE, "chain-input-from-downstream")
        assert finding.about == "east-box"
        assert "Silent: piano (channel 3), organ (channel 4)." in finding.message
        assert finding.facts == {"sources_silent": 2, "outputs_dead": 2}

    def test_its_cure_swaps_the_two_plugs(self, example: Example) -> None:
        assert example.after_cures(self.MIDDLE, "chain-input-from-downstream") == [[]]

    def test_the_two_last_boxes_both_backwards_are_two_findings(self, example: Example) -> None:
        rig = three("crossing: {to: east-box/downstream}", "far: {from: east-box/upstream, to: third-box/downstream}")
        found = example.findings(rig, "chain-input-from-downstream")
        assert [finding.about for finding in found] == ["east-box", "third-box"]
        assert example.no_goes(rig) == ["chain-input-from-downstream"] * 2


class TestRing:
    def test_a_ring_through_the_console_names_it(self, example: Example) -> None:
        rig = "cables: {loop: {from: east-box/downstream, to: desk/link-2}}"
        assert example.no_goes(rig) == ["chain-ring"]
        (finding,) = example.findings(rig, "chain-ring")
        assert finding.about == "west-box"
        assert [cure.change for cure in finding.cures] == [{"cables": {"loop": None}}]

    def test_a_cable_from_a_console_to_itself(self, example: Example) -> None:
        rig = (
            "devices: {west-box: null, east-box: null}\nsources: null\nchannels: null\nmixes: null\nfeeds: null\n"
            "destinations: null\ncables: {trunk: null, crossing: null, loop: {from: desk/link-1, to: desk/link-2}}"
        )
        (finding,) = example.findings(rig, "chain-ring")
        assert finding.message == "the cable loop leads from desk straight back to it."
        assert example.no_goes(rig) == ["chain-ring"]

    def test_a_cable_from_a_box_to_itself(self, example: Example) -> None:
        rig = "cables: {loop: {from: east-box/downstream, to: east-box/upstream}, crossing: null}"
        assert example.no_goes(rig) == ["chain-ring"]
        (finding,) = example.findings(rig, "chain-ring")
        assert finding.message.startswith("the cable loop leads from east-box straight back to it")
        assert "Silent: piano (channel 3)." in finding.message

    def test_a_box_that_hangs_on_a_lost_ring_finds_no_port_and_is_told_once(self, example: Example) -> None:
        rig = THIRD.replace(
            "cables: {far: {from: east-box/downstream, to: third-box/upstream}}",
            "cables: {trunk: null, loop: {from: east-box/downstream, to: west-box/upstream}, "
            "far: {from: west-box/downstream, to: third-box/upstream}}",
        )
        assert example.no_goes(rig) == ["chain-port-shared", "chain-ring"]  # two cables too many, two findings
        messages = [finding.message for finding in example.check(rig).findings]
        assert sum("organ (channel 4)" in message for message in messages) == 1

    def test_a_lost_ring_is_opened_so_that_the_slots_come_back(self, example: Example) -> None:
        rig = "cables: {trunk: null, loop: {from: east-box/downstream, to: west-box/upstream}}"
        assert example.after_cures(rig, "chain-ring") == [[]]


class TestUnreached:
    def test_one_finding_an_island(self, example: Example) -> None:
        (finding,) = example.findings("cables: {trunk: null}", "chain-box-unreached")
        assert finding.facts == {"sources_silent": 3, "outputs_dead": 3}
        assert [place.address for place in finding.places] == ["west-box", "east-box"]
        assert example.no_goes("cables: {trunk: null}") == ["chain-box-unreached"]
        assert example.after_cures("cables: {trunk: null}", "chain-box-unreached") == [[]]

    def test_a_box_with_nothing_in_it_is_a_note(self, example: Example) -> None:
        (finding,) = example.findings("devices: {shelf-box: {model: stage-box-8x8}}", "chain-box-unreached")
        assert finding.weight.value == "note"
        assert finding.message == "no console reaches shelf-box. Nothing is plugged into it."
        assert {"devices": {"shelf-box": None}} in [cure.change for cure in finding.cures]

    def test_a_loudspeaker_alone_makes_it_a_no_go(self, example: Example) -> None:
        rig = (
            "devices: {amp-box: {model: stage-box-8x8, output_bank: 1-8}}\n"
            "destinations: {foyer: {kind: zone-loudspeaker, plugged_into: amp-box/out/1}}"
        )
        (finding,) = example.findings(rig, "chain-box-unreached")
        assert finding.weight.value == "no-go"
        assert "Dead outputs: foyer." in finding.message

    def test_a_source_whose_other_end_is_heard_is_told_and_its_channel_not_again(self, example: Example) -> None:
        rig = (
            "devices: {mon: {model: console-16}, own-box: {model: stage-box-8x8}}\n"
            "consoles: {mon: {channels: {2: {carries: choir, patched_from: mon/link-1/2}}}}\n"
            "splits: {wires: {kind: analogue, sources: [choir]}}\n"
            "sources: {choir: {plugged_into: [west-box/in/2, own-box/in/2]}}"
        )
        (finding,) = example.findings(rig, "chain-box-unreached")
        assert finding.message == "no console reaches own-box. Arrives by one end of its split only: choir."
        assert example.no_goes(rig) == ["chain-box-unreached"]

    def test_the_cure_does_not_chain_what_has_no_slots_left(self, example: Example) -> None:
        rig = "devices: {big-box: {model: stage-box-32x16}}"  # 16 + 8 + 32 > 48
        (finding,) = example.findings(rig, "chain-box-unreached")
        runs = [
            cure.change["cables"]["to-big-box"]["from"] for cure in finding.cures if "cables" in (cure.change or {})
        ]
        assert runs == ["desk/link-2"]

    def test_it_hides_no_chain_that_stays_in_the_wrong_order(self, example: Example) -> None:
        """Its cable puts right what hangs on another link, and nothing of this one."""
        swapped = (
            "cables: {trunk: {to: east-box/upstream}, crossing: {from: east-box/downstream, to: west-box/upstream}}"
        )
        rig = (
            f"{swapped}\ndevices: {{far-box: {{model: stage-box-8x8}}}}\n"
            "sources: {organ: {kind: passive-di, plugged_into: far-box/in/1}}\n"
            "channels: {9: {carries: organ, patched_from: desk/link-2/1}}"
        )
        assert set(example.no_goes(rig)) == {"chain-box-unreached", *example.no_goes(swapped)}
        assert "chain-swapped" in example.no_goes(swapped)


class TestTwoConsoles:
    def test_a_declared_split_is_let_be(self, example: Example) -> None:
        rig = (
            MON
            + MON_CHANNEL
            + (
                "cables: {far: {from: east-box/downstream, to: mon/link-1}}\n"
                "splits: {stage: {kind: link, from: desk/link-1, to: mon/link-1}}"
            )
        )
        assert example.no_goes(rig) == []

    def test_a_second_console_with_boxes_of_its_own_beside_the_split_is_let_be(self, example: Example) -> None:
        rig = FREE + (
            "cables: {far: {from: east-box/downstream, to: mon/link-1}, mine: {from: mon/link-2, to: own-box/upstream}}\n"
            "splits: {stage: {kind: link, from: desk/link-1, to: mon/link-1}}"
        )
        assert example.no_goes(rig) == []

    def test_two_links_split_to_the_same_second_console_are_no_ring(self, example: Example) -> None:
        rig = FREE + (
            "cables: {far: {from: east-box/downstream, to: mon/link-1}, "
            "a: {from: desk/link-2, to: own-box/upstream}, b: {from: own-box/downstream, to: mon/link-2}}\n"
            "splits: {s: {kind: link, from: desk/link-1, to: mon/link-1}, t: {kind: link, from: desk/link-2, to: mon/link-2}}"
        )
        assert example.no_goes(rig) == []

    @pytest.mark.parametrize(
        ("end", "rule"),
        [("west-box/upstream", "chain-two-consoles"), ("west-box/downstream", "chain-port-shared")],
    )
    def test_a_second_console_in_a_taken_port_is_one_finding_with_cures_that_hold(
        self, example: Example, end: str, rule: str
    ) -> None:
        rig = MON + MON_CHANNEL + f"cables: {{far: {{from: mon/link-1, to: {end}}}}}"
        assert example.no_goes(rig) == [rule]
        assert "channel 1 on mon." in example.findings(rig, rule)[0].message
        declared, unplugged = example.after_cures(rig, rule)
        assert declared == []
        assert unplugged == ["patch-carries-nothing"]  # the second console's channel is still patched

    def test_a_second_console_in_the_first_port_moves_to_the_far_end(self, example: Example) -> None:
        rig = "devices: {mon: {model: console-16}}\nconsoles: {mon: {}}\ncables: {second: {from: mon/link-1, to: west-box/upstream}}"
        (finding,) = example.findings(rig, "chain-two-consoles")
        assert [cure.text for cure in finding.cures] == [
            "move the plug of second from west-box/upstream to east-box/downstream, and declare the split under splits/: "
            "desk/link-1 to mon/link-1, kind link",
            "unplug second",
        ]
        assert example.after_cures(rig, "chain-two-consoles") == [[], []]

    def test_of_two_more_consoles_each_is_told_with_what_it_does_not_hear(self, example: Example) -> None:
        rig = (
            "consoles: {mon: {channels: {1: {carries: choir, patched_from: mon/link-1/2}}}, van: {}}\n"
            "devices: {mon: {model: console-16}, van: {model: console-16}}\n"
            "cables: {far: {from: mon/link-1, to: east-box/downstream}, near: {from: van/link-1, to: west-box/upstream}}"
        )
        (finding,) = example.findings(rig, "chain-two-consoles")
        assert finding.message == (
            "desk (cable trunk), mon (cable far) and van (cable near) all reach west-box and east-box, and no split is "
            "declared. Until then mon and van hear nothing of them: channel 1 on mon."
        )
        assert [cure.text for cure in finding.cures] == ["unplug far and near"]

    def test_a_declared_split_does_not_make_two_cables_fit_one_port(self, example: Example) -> None:
        rig = (
            MON
            + "consoles: {mon: {}}\n"
            + (
                "cables: {far: {from: mon/link-1, to: west-box/upstream}}\n"
                "splits: {stage: {kind: link, from: desk/link-1, to: mon/link-1}}"
            )
        )
        assert example.no_goes(rig) == ["chain-port-shared"]

    def test_consoles_joined_directly_do_not_share_their_boxes(self, example: Example) -> None:
        rig = (
            FREE + "cables: {far: {from: desk/link-2, to: mon/link-1}, mine: {from: mon/link-2, to: own-box/upstream}}"
        )
        assert example.no_goes(rig) == ["chain-ports-alike"]


class TestListeners:
    """A console that is declared to listen to a link, and that no cable leads to."""

    RIG = (
        "devices: {mon: {model: console-16}}\nconsoles: {mon: {channels: {%s}}}\n"
        "splits: {stage: {kind: link, from: desk/link-1, to: mon/link-1}}\n"
    )
    HEARS = RIG % "1: {carries: lead-vocal, patched_from: mon/link-1/1}"

    def test_its_deaf_channels_are_told_with_it_and_a_cable_from_the_far_end_cures_them(self, example: Example) -> None:
        (finding,) = example.findings(self.HEARS, "chain-box-unreached")
        assert finding.message == (
            "mon/link-1 is declared to listen to desk/link-1, but no cable leads to it. "
            "Nothing arrives on channel 1 on mon."
        )
        assert (finding.weight.value, finding.about, finding.facts) == ("no-go", "mon", {"channels": 1})
        assert [cure.text for cure in finding.cures] == ["run a link cable from east-box/downstream to mon/link-1"]
        assert example.no_goes(self.HEARS) == ["chain-box-unreached"]
        assert example.after_cures(self.HEARS, "chain-box-unreached") == [[]]

    def test_one_that_awaits_nothing_is_a_note(self, example: Example) -> None:
        (finding,) = example.findings(self.RIG % "", "chain-box-unreached")
        assert finding.message == "mon/link-1 is declared to listen to desk/link-1, but no cable leads to it."
        assert finding.weight.value == "note"

    def test_where_the_far_end_is_taken_no_change_is_offered(self, example: Example) -> None:
        back = "cables: {back: {from: east-box/downstream, to: desk/link-2}}"
        (finding,) = example.findings(self.HEARS + back, "chain-box-unreached")
        assert [(cure.text, cure.change) for cure in finding.cures] == [("run a link cable to mon/link-1", None)]


class TestWrongPort:
    OTHER = (
        "devices: {loft-box: {model: stage-box-8x8}}\n"
        "sources: {organ: {kind: dynamic-microphone, plugged_into: loft-box/in/1}}\n"
        "channels: {4: {carries: organ, patched_from: desk/link-2/1}}\n"
        "cables: {trunk: {from: desk/link-%s}, other: {from: desk/link-%s, to: loft-box/upstream}}"
    )

    def test_two_chains_in_each_others_port_are_one_finding(self, example: Example) -> None:
        rig = self.OTHER % (2, 1)
        assert example.no_goes(rig) == ["chain-wrong-port"]
        (finding,) = example.findings(rig, "chain-wrong-port")
        assert [place.address for place in finding.places] == ["loft-box", "west-box"]
        assert finding.cures[0].change == {
            "cables": {"other": {"from": "desk/link-2"}, "trunk": {"from": "desk/link-1"}}
        }
        assert example.after_cures(rig, "chain-wrong-port") == [[]]
        assert example.no_goes(self.OTHER % (1, 2)) == []

    def test_one_channel_that_is_wrong_alone_is_told_at_its_patch(self, example: Example) -> None:
        rig = "cables: {crossing: {from: desk/link-2}}\nmixes: {house: null}\nfeeds: {desk/link-1: {15-16: null}}\n"
        rig += "destinations: {house-left: null, house-right: null}"
        assert example.no_goes(rig) == ["patch-carries-nothing"]

    def test_a_chain_that_something_is_heard_by_stays(self, example: Example) -> None:
        """The piano's channel was patched anew for the other port, so whoever plugged it there meant to."""
        rig = "cables: {crossing: {from: desk/link-2}}\nchannels: {3: {patched_from: desk/link-2/1}}"
        assert "chain-wrong-port" not in example.no_goes(rig)


class TestTooLong:
    def chain(self, more: str = "") -> str:
        rows = [("east-box", "b1"), ("b1", "b2"), ("b2", "b3")]
        cables = ", ".join(f"to-{end}: {{from: {start}/downstream, to: {end}/upstream}}" for start, end in rows)
        boxes = ", ".join(f"{end}: {{model: stage-box-8x8}}" for _, end in rows)
        return f"devices: {{{boxes}, own: {{model: stage-box-8x8}}}}\ncables: {{{cables}{more}}}"

    def test_the_first_box_too_many_goes_to_the_free_link(self, example: Example) -> None:
        (finding,) = example.findings(self.chain(), "chain-too-long")
        assert (finding.about, finding.facts) == ("b3", {"boxes": 5, "most_boxes": 4})
        assert [(cure.text, cure.change) for cure in finding.cures] == [
            (
                "cable b3 to desk/link-2 instead of b2/downstream, and patch its sockets from there",
                {"cables": {"to-b3": {"from": "desk/link-2"}}},
            )
        ]

    def test_where_no_link_is_free_it_is_left_to_the_crew(self, example: Example) -> None:
        (finding,) = example.findings(self.chain(", own: {from: desk/link-2, to: own/upstream}"), "chain-too-long")
        assert [(cure.text, cure.change) for cure in finding.cures] == [
            ("take b3 and what is behind it off this chain", None)
        ]


class TestPorts:
    def test_a_box_that_loses_its_port_takes_what_is_behind_it(self, example: Example) -> None:
        rig = three("crossing: {from: desk/link-1}", "far: {from: east-box/downstream, to: third-box/upstream}")
        (finding,) = example.findings(rig, "chain-port-shared")
        assert "Silent: piano (channel 3), organ (channel 4)." in finding.message
        assert example.no_goes(rig) == ["chain-port-shared"]

    def test_moving_the_plug_to_the_end_of_the_chain_restores_the_slots(self, example: Example) -> None:
        rig = "cables: {crossing: {from: desk/link-1}}"
        (finding,) = example.findings(rig, "chain-port-shared")
        assert {"cables": {"crossing": {"from": "west-box/downstream"}}} in [cure.change for cure in finding.cures]
        assert [] in example.after_cures(rig, "chain-port-shared")

    def test_alike_ports_in_the_middle_swap_with_the_plug_beside(self, example: Example) -> None:
        rig = (
            "devices: {a: {model: stage-box-8x8}, b: {model: stage-box-8x8}, c: {model: stage-box-8x8}}\n"
            "cables: {x: {from: a/upstream, to: b/upstream}, y: {from: b/downstream, to: c/upstream}}"
        )
        (finding,) = example.findings(rig, "chain-ports-alike")
        assert finding.cures[0].change == {"cables": {"x": {"to": "b/downstream"}, "y": {"from": "b/upstream"}}}


class TestSlots:
    """addressing.md: 16, 16, 16 fill a 48-slot link; 16, 16, 16, 8 and 32, 16, 8 leave the last box without."""

    BOX = "{{model: stage-box-{}}}"

    def chain(self, *sizes: str, rate: int = 48000, more: str = "") -> str:
        boxes = ", ".join(f"box-{n}: {self.BOX.format(size)}" for n, size in enumerate(sizes, 1))
        ends = ["desk/link-2", *(f"box-{n}/downstream" for n in range(1, len(sizes)))]
        cables = ", ".join(f"c{n}: {{from: {end}, to: box-{n}/upstream}}" for n, end in enumerate(ends, 1))
        return f"clock: {{sample_rate_hz: {rate}}}\ndevices: {{{boxes}}}\ncables: {{{cables}}}\n{more}"

    @pytest.mark.parametrize(
        ("sizes", "needs", "without"),
        [
            (("16x8", "16x8", "16x8"), None, None),
            (("16x8", "16x8", "16x8", "8x8"), 56, "box-4/in/1–8"),
            (("32x16", "16x8", "8x8"), 56, "box-3/in/1–8"),
            (("32x16", "8x8", "16x8"), 56, "box-3/in/9–16"),
            (("32x16", "32x16", "8x8"), 72, "box-2/in/17–32 and box-3/in/1–8"),
        ],
    )
    def test_at_48_khz(self, example: Example, sizes: tuple[str, ...], needs: int | None, without: str | None) -> None:
        found = example.findings(self.chain(*sizes), "chain-slots-exceeded")
        if needs is None:
            assert found == []
            return
        (finding,) = found
        assert finding.weight.value == "caution"
        assert (finding.facts["inputs"], finding.facts["slots"]) == (needs, 48)
        assert f"{without} have none. Nothing is plugged in there." in finding.message

    def test_the_same_chain_halves_at_96_khz(self, example: Example) -> None:
        """24 slots at 88.2/96 kHz: from memory of the AES50 table (check-values.md, section 2)."""
        (finding,) = example.findings(self.chain("16x8", "16x8", rate=96000), "chain-slots-exceeded")
        assert (finding.facts["slots"], finding.facts["sample_rate_hz"]) == (24, 96000)
        assert "box-2/in/9–16 have none" in finding.message
        assert example.findings(self.chain("16x8", "16x8"), "chain-slots-exceeded") == []

    FALLEN = (
        "sources: {flute: {kind: dynamic-microphone, plugged_into: box-2/in/16}, "
        "horn: {kind: dynamic-microphone, plugged_into: box-2/in/1}}\n"
        "channels: {8: {label: Flute, carries: flute, patched_from: desk/link-2/32}, "
        "9: {label: Horn, carries: horn, patched_from: desk/link-2/17}}"
    )

    def test_a_used_socket_past_the_end_is_a_no_go_and_told_once(self, example: Example) -> None:
        rig = self.chain("16x8", "16x8", rate=96000, more=self.FALLEN)
        assert example.no_goes(rig) == ["chain-slots-exceeded"]
        found = example.check(rig).findings
        assert not [f for f in found if f.rule in ("patch-carries-nothing", "source-unheard")]
        (finding,) = example.findings(rig, "chain-slots-exceeded")
        assert "Silent: flute in box-2/in/16 (channel 8 (Flute))." in finding.message
        assert "Horn" not in finding.message

    def test_each_of_its_cures_gives_a_go(self, example: Example) -> None:
        rig = self.chain("16x8", "16x8", rate=96000, more=self.FALLEN)
        (finding,) = example.findings(rig, "chain-slots-exceeded")
        assert [cure.text.split()[0] for cure in finding.cures] == ["move", "run"]  # no link port is free
        assert example.after_cures(rig, "chain-slots-exceeded") == [[], []]

    def test_on_another_link_port_the_channels_follow(self, example: Example) -> None:
        rig = (
            "devices: {big-box: {model: stage-box-32x16}}\n"
            "cables: {far: {from: east-box/downstream, to: big-box/upstream}}\n"
            "sources: {flute: {kind: dynamic-microphone, plugged_into: big-box/in/30}}\n"
            "channels: {8: {label: Flute, carries: flute, patched_from: desk/link-1/54}}"
        )
        (finding,) = example.findings(rig, "chain-slots-exceeded")
        moved = next(cure for cure in finding.cures if cure.text.startswith("cable big-box to desk/link-2"))
        assert moved.change == {
            "cables": {"far": {"from": "desk/link-2"}},
            "channels": {"8": {"patched_from": "desk/link-2/30"}},
        }
        assert example.no_goes(example.changed(example.document(rig), moved.change)) == []

    def test_the_patch_stays_told_where_the_channel_gets_another_source(self, example: Example) -> None:
        rig = self.chain("16x8", "16x8", rate=96000, more=self.FALLEN.replace("link-2/32", "link-1/1"))
        assert "patch-carries-other" in example.no_goes(rig)


class TestCables:
    @pytest.mark.parametrize(
        ("length_m", "severity"), [(90, None), (90.5, "caution"), (100, "caution"), (100.5, "no-go")]
    )
    def test_the_hundred_metres_of_a_copper_channel(
        self, house: Example, length_m: float, severity: str | None
    ) -> None:
        """ISO/IEC 11801 and TIA-568: 100 m for a class D/E channel (check-values.md, section 2)."""
        rig = _silent_models(house) + f"cables: {{trunk: {{length_m: {length_m}, kind: cat5e}}}}"
        found = house.findings(rig, "link-cable-length")
        assert [finding.weight.value for finding in found] == ([severity] if severity else [])
        assert not found or found[0].facts == {"length_m": length_m, "limit_m": 100}

    def test_fibre_between_models_that_say_nothing_has_no_limit(self, house: Example) -> None:
        rig = _silent_models(house) + "cables: {trunk: {length_m: 900, kind: fibre}}"
        assert house.findings(rig, "link-cable-length") == []

    def test_the_stricter_model_decides(self, house: Example) -> None:
        rig = _silent_models(house, ", max_cable_m: 30") + "cables: {trunk: {length_m: 31}}"
        (finding,) = house.findings(rig, "link-cable-length")
        assert finding.message.endswith("is 31 m long; terse-box allows 30 m.")
        rig = rig.replace("desk: {model: terse-console}", "desk: {model: console-32}")  # which allows 100 m
        (finding,) = house.findings(rig, "link-cable-length")
        assert finding.message.endswith("is 31 m long; terse-box allows 30 m.")

    def test_the_house_sets_the_share(self, example: Example) -> None:
        rig = (
            "cables: {trunk: {length_m: 60}}\n"
            "rules: {link-cable-length: {limits: {caution_share: 0.5}, because: old cable}}"
        )
        (finding,) = example.findings(rig, "link-cable-length")
        assert finding.weight.value == "caution"

    def test_nothing_is_said_of_a_cable_that_the_rig_does_not_describe(self, example: Example) -> None:
        rig = "cables: {crossing: {kind: null, shielded: null, length_m: null}}"
        assert example.findings(rig, "link-cable-length", "link-cable-kind") == []

    @pytest.mark.parametrize(
        ("kind", "lacks"), [("cat5", "cat5"), ("cat6", None), ("cat8", None), ("coax", "coax"), ("fibre", "fibre")]
    )
    def test_the_category(self, example: Example, kind: str, lacks: str | None) -> None:
        found = example.findings(f"cables: {{crossing: {{kind: {kind}}}}}", "link-cable-kind")
        assert [f" is {lacks}; " in finding.message for finding in found] == ([True] if lacks else [])

    @pytest.mark.parametrize(
        ("crossing", "lacks", "cure", "change"),
        [
            ("kind: cat6a, shielded: false", "not shielded", "shielded cat6a", {"shielded": True}),
            ("kind: cat5, shielded: true", "cat5", "shielded cat5e", {"kind": "cat5e", "shielded": True}),
            ("kind: null, shielded: false", "not shielded", "shielded", {"shielded": True}),
        ],
    )
    def test_a_better_cable_is_not_swapped_for_a_worse(
        self, example: Example, crossing: str, lacks: str, cure: str, change: dict[str, object]
    ) -> None:
        rig = f"cables: {{crossing: {{{crossing}}}}}"
        (finding,) = example.findings(rig, "link-cable-kind")
        assert f"is {lacks}; stage-box-16x8 and stage-box-8x8 ask for shielded cat5e." in finding.message
        assert [(found.text, found.change) for found in finding.cures] == [
            (f"run a {cure} cable in place of crossing", {"cables": {"crossing": change}})
        ]
        after = example.changed(example.document(rig), finding.cures[0].change or {})
        assert example.findings(after, "link-cable-kind") == []

    def test_fibre_needs_no_shield(self, example: Example) -> None:
        (finding,) = example.findings("cables: {crossing: {kind: fibre, shielded: false}}", "link-cable-kind")
        assert " is fibre; " in finding.message

    def test_a_crossing_needs_no_spare_of_its_own(self, example: Example) -> None:
        assert example.findings("", "link-cable-coiled-spare") == []
        (finding,) = example.findings("cables: {trunk: {spare: null}}", "link-cable-coiled-spare")
        assert (finding.about, finding.weight.value) == ("trunk", "note")
        assert finding.message == "the trunk from desk/link-1 to west-box/upstream has no spare."

    def test_only_what_is_called_so_is_the_trunk(self, example: Example) -> None:
        row = "from: desk/link-1, to: west-box/upstream, kind: cat5e, shielded: true, length_m: 40"
        rig = f"cables: {{trunk: null, to-stage: {{{row}}}}}"
        (finding,) = example.findings(rig, "link-cable-coiled-spare")
        assert finding.message == "the cable to-stage from desk/link-1 to west-box/upstream has no spare."


def _silent_models(house: Example, link: str = "") -> str:
    """A console and a box whose models say nothing about cables, but for what `link` adds to the box's."""
    assert house.house is not None
    (house.house / "models" / "terse-console.yaml").write_text(
        "model_format: 1\nkind: console\ninputs: {count: 8}\nlinks: {link-1: {slots: {48000: 48}}}\n"
    )
    (house.house / "models" / "terse-box.yaml").write_text(
        "model_format: 1\nkind: stage-box\ninputs: {count: 16}\n"
        "outputs: {count: 8, addressed: by-selector, selector: [1-8, 9-16]}\n"
        f"chain: {{slots: {{48000: 48}}{link}}}\n"
    )
    return "devices: {desk: {model: terse-console}, west-box: {model: terse-box}}\n"


class TestSwapped:
    SWAP = "cables: {trunk: {to: east-box/upstream}, crossing: {from: east-box/downstream, to: west-box/upstream}}\n"
    PHANTOM = "channels: {1: {phantom: on}, 3: {phantom: off}}\n"

    @pytest.mark.parametrize("kind", ["{kind: ribbon-microphone}", "{kind: player}", "{connection: unbalanced}"])
    def test_phantom_power_that_the_swap_brings_to_what_must_not_have_it_is_told(
        self, example: Example, kind: str
    ) -> None:
        (finding,) = example.findings(f"{self.SWAP}{self.PHANTOM}sources: {{piano: {kind}}}\n", "phantom-astray")
        assert finding.message.startswith("piano (east-box/in/1) ")
        assert finding.message.endswith("but channel 1 (Lead vox) brings it there. Mute and switch it off first.")

    def test_what_does_not_mind_it_is_not_told(self, example: Example) -> None:
        assert not example.findings(self.SWAP + self.PHANTOM, "phantom-astray")
