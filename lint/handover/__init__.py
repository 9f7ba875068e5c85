"""The handover: one page for the next crew."""
