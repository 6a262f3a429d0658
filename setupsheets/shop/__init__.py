"""What a shop owns, each kind of file as a frozen struct, and finding them by name."""
