"""House rules: what a house writes for itself, as YAML or, once it is trusted, as Python."""
