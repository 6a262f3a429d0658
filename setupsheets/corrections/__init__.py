"""From readings of a test piece to causes and advice: pure numbers, lengths in mm."""
