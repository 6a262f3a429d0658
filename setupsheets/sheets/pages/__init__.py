"""Finished sheets as Markdown, HTML, JSON and CSV."""
