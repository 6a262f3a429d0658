"""What was set, cut and measured: records, what they say today, finding them again."""
