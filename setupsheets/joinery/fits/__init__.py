"""How joints come together: rules of thumb, tolerance stacks, the dry fit."""
