"""Recipes and parts into ordered operations with every setting a number, and their proof."""
