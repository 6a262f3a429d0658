def blocks() -> None:
    raise NotImplementedError
