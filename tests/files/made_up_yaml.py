"""Made-up YAML of the simple sort, as varied as it gets, some of it spoilt by one character."""

from __future__ import annotations

from random import Random

KEYS = ("a", "b", "key", "two words", "x-y", "n.o", "'q'", '"d d"', "1/2", "é", "k(1)")
TEXTS = (
    *("a", "two words", "1/8", '14 11/16"', "0.5", "-1", "'q  r'", '"d # e"', "'it''s: ok'", "''"),
    *("x#y", "é", "it's, or [not]", "~", "null", "2024-01-02", "a:b", "http://x/y", "(c)", "+1"),
    *(".5", "x ?", "a&b", "a*b", "50%", "u@v", "a|b", "a > b", "a}b", "0,0"),
)
IN_BRACKETS = ("a", "1/8", "'q, r'", '"d"', "-1", "two words", "0.5", "it's", "a(b)", "x-y")
ROWS = ("text", "# no comment", "a: b", "- c", "'q'", "x  y", "é  ", "z", "z")
ENDS = ("", "", "", " # c", "  # c: d", "   ")
SPOILERS = " \n:-#'\"[]{},|>&*!?%@a1"


def document(random: Random) -> str:
    """A mapping or a list, now and then with other line ends or with none at the end."""
    start = random.choice(("", "", "---\n", "# head\n\n"))
    body = mapping(random, 0, 0) if random.random() < 0.8 else sequence(random, 0, 0)
    text = start + body + between(random)
    if random.random() < 0.15:
        text = text.rstrip("\n")
    return text.replace("\n", "\r\n") if random.random() < 0.1 else text


def spoilt(random: Random) -> str:
    """The same with one character put in, and up to two taken out."""
    text = document(random)
    at = random.randrange(len(text) + 1)
    return text[:at] + random.choice(SPOILERS) + text[at + random.randint(0, 2) :]


def between(random: Random) -> str:
    lines = ("\n", "# c\n", "   # deep: c\n", "   \n")
    return "".join(random.choice(lines) for _ in range(random.choice((0, 0, 0, 0, 1, 2))))


def mapping(random: Random, column: int, depth: int, first: str = "") -> str:
    """Pairs at a column; `first` stands before the first key where that follows a dash."""
    text = ""
    for number, key in enumerate(random.sample(KEYS, random.randint(1, 4))):
        start = first if first and number == 0 else between(random) + " " * column
        value = scalar(random, column, depth)
        if value is None:
            value = (
                random.choice(ENDS)
                + "\n"
                + random.choice((below, below, level))(random, column, depth)
            )
        text += start + key + ":" + value
    return text


def sequence(random: Random, column: int, depth: int, first: str = "") -> str:
    """Items at a column; `first` as for `mapping`."""
    text = ""
    for number in range(random.randint(1, 3)):
        start = first if first and number == 0 else between(random) + " " * column
        value = scalar(random, column, depth)
        if value is None:
            value = random.choice(
                (in_line, lambda *args: random.choice(ENDS) + "\n" + below(*args))
            )(random, column, depth)
        text += start + "-" + value
    return text


def below(random: Random, column: int, depth: int) -> str:
    further = column + random.randint(1, 4)
    return random.choice((mapping, sequence))(random, further, depth + 1)


def level(random: Random, column: int, depth: int) -> str:
    return sequence(random, column, depth + 1)


def in_line(random: Random, column: int, depth: int) -> str:
    """A mapping or list that begins behind a dash."""
    gap = random.randint(1, 3)
    return random.choice((mapping, sequence))(random, column + 1 + gap, depth + 1, " " * gap)


def scalar(random: Random, column: int, depth: int) -> str | None:
    """What follows a key or dash, to the end of the line; None for a nested block."""
    kind = random.random()
    if kind < 0.40 or depth > 4:
        return " " * random.choice((1, 1, 2)) + random.choice(TEXTS) + random.choice(ENDS) + "\n"
    if kind < 0.46:
        return random.choice(ENDS) + "\n"
    if kind < 0.56:
        return " " + flow(random, 0) + random.choice(ENDS) + "\n"
    if kind < 0.64:
        return text_block(random, column)
    if kind < 0.70:
        return long_text(random, column)
    return None


def text_block(random: Random, column: int) -> str:
    indent = " " * (column + random.randint(1, 4))
    text = " " + random.choice(("|", "|-", ">", ">-")) + "\n"
    for number in range(random.randint(1, 5)):
        empty = random.choice(("", "", "\n", " \n")) if number else ""
        deeper = " " if random.random() < 0.05 else ""
        text += empty + indent + deeper + random.choice(ROWS) + "\n"
    return text + random.choice(("", "\n", "\n\n", " \n"))


def long_text(random: Random, column: int) -> str:
    """Plain text over several lines."""
    text = " " + random.choice(("one", "two three", "1"))
    for _ in range(random.randint(1, 3)):
        text += "\n" + " " * (column + random.randint(1, 4))
        text += random.choice(("more", "and 2", "- dash", "x, y"))
    return text + random.choice(ENDS) + "\n"


def flow(random: Random, depth: int) -> str:
    kind = random.random()
    if depth > 2 or kind < 0.5:
        return random.choice(IN_BRACKETS)
    if kind < 0.75:
        items = [flow(random, depth + 1) for _ in range(random.randint(0, 4))]
        return (
            "["
            + comma(random).join(items)
            + random.choice(("", " ", ",") if items else ("", " "))
            + "]"
        )
    keys = ("k", "'l'", '"k k"', "k-k")
    pairs = [
        key + ":" + random.choice((" ", "  ")) + flow(random, depth + 1)
        for key in random.sample(keys, random.randint(0, 3))
    ]
    return "{" + comma(random).join(pairs) + "}"


def comma(random: Random) -> str:
    return random.choice((", ", ",", ",\n" + " " * random.randint(0, 9), " , "))
