"""What a leaf is made of: parts, tenons, mortises, panes, sticks. Open `parts` first."""
