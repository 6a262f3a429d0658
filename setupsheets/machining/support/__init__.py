"""What a part stands on at every cut, and the order that serves it best."""
