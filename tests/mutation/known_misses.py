"""Mistakes that the rules do not find yet, by kind, and why. The table and the tests name them; nothing hides them.

A kind comes off this list as soon as `mistakes.py --all` counts none of it as missed.
"""

KNOWN_MISSES = {
    "missing-cable": "link-split: a console that listens to a link by a split is cut off, and ten channels are told instead of the cable",
    "sample-rate-that-a-device-lacks": "a console without boxes may be set to a rate that its model does not have",
    "pair-panned-to-one-side": "both channels of a pair panned to one side: stereo-crossed knows only both the wrong way round",
    "returns-panned-wrongly": "the pans of an effects return are held against nothing",
    "destination-forgotten": "a mix is sent to an output on which nothing hangs",
    "channel-in-no-mix": "a source arrives on channels that no mix takes",
    "range-too-short": "a source arrives on channels that no mix takes",
    "monitor-takes-the-house": "house-to-monitor looks at what is sent to a monitor, and not into the mixes that it takes",
    "no-space-after-the-colon": "in a row in braces the key becomes 'key:value' with nothing, which the merge takes out: a note, no refusal",
    "decimal-comma": "in a row in braces '2,5' becomes 2 and a key '5' with nothing, which the merge takes out: a note, no refusal",
}
