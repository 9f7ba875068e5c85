"""Published formulas as small pure functions: each names its source, its units and where it stops being true."""
