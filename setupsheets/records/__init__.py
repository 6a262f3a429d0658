"""What was set, cut and measured: records, what they say today, finding them again.

Open `record` first: it is what a record file holds. Then `current`, what to set today, and
`open_set_up`, what `log` and `correct` do with a test piece.
"""
