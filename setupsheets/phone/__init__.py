"""Pages for a telephone at the machine, made here and working without a script: what the sheet
says, and the readings into the record by the same functions that `log` keeps them with."""
