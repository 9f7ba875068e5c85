"""Pictures: SVG drawings of the chain, the signals and the stage."""
