"""The letters of drawings and pages: the font that travels in the page, and how wide it prints."""
