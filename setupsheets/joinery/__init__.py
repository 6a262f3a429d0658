"""A job into parts: three lengths, mortises, lights, glass, boards. Open `leaf` first."""
