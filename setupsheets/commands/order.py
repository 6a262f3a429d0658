def order() -> None:
    raise NotImplementedError
