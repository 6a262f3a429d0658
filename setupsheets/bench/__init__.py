"""Acts at the bench, whoever asks for them: what was typed becomes an entry, and what must be said
first is a question as a value. Terminal and phone put it in their own way."""
