def recall() -> None:
    raise NotImplementedError
