"""The rig: a typed, immutable model of what the files say."""
