"""All operations of a job in the order in which least is set, walked and carried."""
