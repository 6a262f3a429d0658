def check() -> None:
    raise NotImplementedError
