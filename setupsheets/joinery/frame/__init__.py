"""The leaf as designed: rails, bars, lights, and what cannot be made. Open `layout` first."""
