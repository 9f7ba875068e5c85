"""What changed between two rigs, by meaning."""
