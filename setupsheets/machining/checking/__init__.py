"""What is left of the blank against the design, for a job and for a recipe by itself."""
