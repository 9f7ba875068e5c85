"""What may be written, as JSON Schema (Draft 2020-12)."""
