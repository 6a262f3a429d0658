"""What a shop owns, each kind of file as a frozen dataclass, and finding them by name."""
