"""An invented evening with amplifiers that stand by themselves, pairs, phantom power and three mains circuits."""

AMPED = """\
rig_format: 1
clock: {sample_rate_hz: 48000, leader: desk}
devices:
  desk:  {model: console-16, location: back, circuit: back, watts: 200}
  left:  {model: stage-box-16x8, circuit: stage, output_bank: 1-8, watts: 60, along_stage_m: 0}
  right: {model: stage-box-8x8, circuit: porch, output_bank: 9-16, watts: 40, along_stage_m: 10}
cables:
  trunk: {from: desk/link-1, to: left/upstream, kind: cat5e, shielded: true, length_m: 30}
  hop:   {from: left/downstream, to: right/upstream, kind: cat6, shielded: true, length_m: 15}
sources:
  kick:    {kind: dynamic-microphone, plugged_into: left/in/1, priority: 4}
  bass:    {kind: active-di, plugged_into: left/in/4}
  vox:     {kind: dynamic-microphone, plugged_into: left/in/8, priority: 1}
  horn:    {kind: ribbon-microphone, plugged_into: right/in/3}
  sax:     {kind: condenser-microphone, plugged_into: right/in/4, priority: 9}
  choir-l: {kind: condenser-microphone, plugged_into: right/in/5, priority: 2}
  choir-r: {kind: condenser-microphone, plugged_into: right/in/6, priority: 2}
pairs:
  choir: {left: choir-l, right: choir-r}
channels:
  1: {carries: kick, patched_from: desk/link-1/1, gain_db: 20}
  4: {carries: bass, patched_from: desk/link-1/4, phantom: on, gain_db: 10}
  6: {carries: vox, patched_from: desk/link-1/8, gain_db: 30}
  9: {carries: horn, patched_from: desk/link-1/19, gain_db: 40}
  10: {carries: sax, patched_from: desk/link-1/20, phantom: on, gain_db: 25}
  11: {carries: choir-l, patched_from: desk/link-1/21, phantom: on, pan: left, gain_db: 35}
  12: {carries: choir-r, patched_from: desk/link-1/22, phantom: on, pan: right, gain_db: 35}
mixes:
  house: {kind: house, width: stereo, takes: {channels: [1-12]}}
  vox-mon: {kind: monitor, takes: {channels: {6: {tap: pre-fader}}}}
  drum-mon: {kind: monitor, takes: {channels: {1-4: {tap: pre-fader}}}}
  horn-mon: {kind: monitor, takes: {channels: {9-10: {tap: pre-fader}}}}
feeds:
  desk/link-1: {1: vox-mon, 2: drum-mon, 7-8: house, 9: horn-mon, 10: house.mono}
destinations:
  vox-wedge:  {kind: wedge, plugged_into: left/out/1, expects: vox-mon, circuit: stage, watts: 300}
  drum-ears:  {kind: headphone-amplifier, plugged_into: left/out/2, expects: drum-mon}
  main-left:  {kind: house-loudspeaker, plugged_into: left/out/7, expects: house.left, circuit: stage, watts: 600}
  main-right: {kind: house-loudspeaker, plugged_into: left/out/8, expects: house.right, circuit: porch, watts: 600}
amplifiers:
  horn-amp:
    plugged_into: right/out/1
    expects: horn-mon
    circuit: porch
    watts: 400
    outputs: {a: {rated_w: 200, least_load_ohm: 4, loudspeakers: [{impedance_ohm: 8, count: 2}]}}
  porch-amp:
    plugged_into: right/out/2
    expects: house.mono
    circuit: porch
    watts: 200
    outputs: {line: {rated_w: 60, line_v: 100, loudspeakers: [{tap_w: 10, count: 4}]}}
power:
  jurisdiction: uk
  circuits:
    back:  {volts: 230, breaker_a: 16, residual_current_device: true}
    stage: {volts: 230, breaker_a: 16, residual_current_device: true}
    porch: {volts: 230, breaker_a: 10, residual_current_device: true}
"""
