"""The bundled checklist templates."""
