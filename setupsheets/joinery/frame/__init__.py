"""The leaf as designed: where rails and bars stand, how its lights divide, what cannot be made."""
