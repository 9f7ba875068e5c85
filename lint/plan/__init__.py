"""Planning beside the check: what becomes of a rig when something changes or fails, and the exact ways to mend it."""
