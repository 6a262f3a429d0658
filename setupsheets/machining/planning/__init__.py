"""Recipes and parts into set-ups: who shares one, by which recipe, every figure worked out."""
