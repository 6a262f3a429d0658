"""Drawings to scale as SVG."""
