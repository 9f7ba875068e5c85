"""Pages: one form for everything that is printed, written as text, Markdown, CSV or HTML."""
