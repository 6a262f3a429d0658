"""Every part of the leaf with its ends, mortises, panes, beads and marks."""
