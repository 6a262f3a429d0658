"""The wood: cut list, boards to buy, weight, seasons. Open `cutlist` first."""
