"""Reading: YAML with a position for every value, `extends:` merged, the schema checked in plain words."""
