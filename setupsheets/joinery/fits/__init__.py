"""How joints come out: rules of thumb, tolerances, the dry fit. Open `tolerance_stacks` first."""
