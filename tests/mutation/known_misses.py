"""Mistakes that the rules do not tell, by kind, and why. The table and the tests name them; nothing hides them.

A kind comes off this list as soon as `mistakes.py --all` counts none of it as missed.
"""

KNOWN_MISSES = {
    "monitor-takes-the-house": "a monitor mix may take the house mix on purpose, at a level of its own: nothing tells the slip from the wish",
    "destination-forgotten": "2 of 100: an output that only copies another one, whose feed somebody hears elsewhere",
}
