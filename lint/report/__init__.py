"""Reports: what was found, for people and for programs."""
