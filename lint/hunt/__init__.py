"""Fault-finding: from a symptom to the part, by the next best question."""
