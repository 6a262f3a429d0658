"""Formula text read into a tree.

The grammar, loosest first; each operator of one line groups from the left:

    formula    = both { "or" both }
    both       = opposite { "and" opposite }
    opposite   = "not" opposite | comparison
    comparison = sum [ ( "<" | "<=" | ">" | ">=" | "=" | "!=" ) sum ]      one only, never a chain
    sum        = product { ( "+" | "-" ) product }
    product    = negative { ( "*" | "/" ) negative }
    negative   = "-" negative | atom
    atom       = length | number | text | call | name | "(" formula ")"
    length     = a number as in `lengths` with its unit tight to it: 1/16 in, 14-11/16 in, 0.5 mm
    number     = digits [ "." digits ] | "." digits                        1/3 is a division, exact
    text       = a pair of " or ' with anything but itself and a line's end between
    call       = function "(" formula { "," formula } ")"
    function   = "min" | "max" | "abs" | "ceil" | "floor" | "round_up_to" | "round_down_to"
               | "choose"
    name       = word { "." word }                                         part.length
    word       = a lower-case letter, then such letters, digits and underscores

A length is read before anything else that could begin the same way: `3/4 in` is one length, not 3
divided by 4 in, and `2-1/16 in` is 2 1/16 in, as it is everywhere else in the shop. Units are in,
inch, inches, ft, foot, feet, mm, cm and m; the inch and foot marks are taken, by texts.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from fractions import Fraction
from typing import NamedTuple

from msgspec import Struct, field

from setupsheets.formulas.affine import Affine, FormulaError
from setupsheets.formulas.expressions import (
    COMPARISONS,
    FUNCTIONS,
    Arithmetic,
    Call,
    Choose,
    Comparison,
    Condition,
    Literal,
    Name,
    Negative,
    Node,
    Not,
)
from setupsheets.lengths import NUMBER, LengthError, Unit, read_length

MAX_TEXT = 500  # characters
MAX_DEPTH = 40  # parentheses, calls and signs inside one another
MAX_NAMES = 50
MAX_DIGITS = 30  # in a row

_token = re.compile(
    rf"""
    \s* (?:
        (?P<length> {NUMBER} [^\S\n]* (?: in | inch | inches | ft | foot | feet | mm | cm | m ) \b )
      | (?P<number> [0-9]+ (?: \. [0-9]+ )? | \. [0-9]+ )
      | (?P<name>   [a-z][a-z0-9_]* (?: \. [a-z][a-z0-9_]* )* )
      | (?P<text>   "[^"\n]*" | '[^'\n]*' )
      | (?P<sign>   <= | >= | != | [-+*/()<>=,] )
      | (?P<end>    \Z )
    )""",
    re.VERBOSE,
).match
_long_number = re.compile(rf"[0-9]{{{MAX_DIGITS + 1}}}").search
_WORDS = ("and", "or", "not")


class Token(NamedTuple):
    """A piece of a formula: its `kind` is a group of the pattern, or `word` for and, or, not."""

    kind: str
    text: str
    column: int


def read_formula(text: str) -> tuple[Node, frozenset[str]]:
    """The tree of a formula, and all the names in it, those of untaken branches included.

    Raises FormulaError with the column for a text that is no formula, or is too large for one:
    over MAX_TEXT characters, MAX_DEPTH nestings, MAX_NAMES names or MAX_DIGITS digits in a row.
    """
    try:
        reader = _Reader(_tokens(text))
        root = reader.formula()
        if reader.now.kind != "end":
            raise _left_over(reader.now)
    except FormulaError as fault:
        raise FormulaError(fault.message, text, fault.column) from None
    return root, frozenset(reader.names)


def _tokens(text: str) -> list[Token]:
    if len(text) > MAX_TEXT:
        raise FormulaError(f"longer than {MAX_TEXT} characters", column=MAX_TEXT + 1)
    if found := _long_number(text):
        raise FormulaError(f"more than {MAX_DIGITS} digits in a row", column=found.start() + 1)
    tokens: list[Token] = []
    position = 0
    while not tokens or tokens[-1].kind != "end":
        found = _token(text, position)
        if not found:
            raise _unreadable(text, position)
        kind = found.lastgroup or ""
        piece, column = found[kind], found.start(kind) + 1
        tokens.append(Token("word" if piece in _WORDS else kind, piece, column))
        position = found.end()
    return tokens


def _unreadable(text: str, position: int) -> FormulaError:
    start = len(text) - len(text[position:].lstrip())
    if text[start] in "\"'":
        return FormulaError(f"the text after {text[start]} has no end", column=start + 1)
    return FormulaError(f"{text[start]!r} has no meaning in a formula", column=start + 1)


def _left_over(token: Token) -> FormulaError:
    if token.text in COMPARISONS:
        message = "comparisons cannot be chained: join two with 'and'"
    elif token.kind == "sign":
        message = f"{token.text!r} is not expected here"
    else:
        message = f"an operator is missing before {token.text!r}"
    return FormulaError(message, column=token.column)


class _Reader(Struct):
    """Goes through the tokens once, from the left; one method for each line of the grammar."""

    tokens: list[Token]
    position: int = 0
    depth: int = 0
    names: set[str] = field(default_factory=set)

    @property
    def now(self) -> Token:
        return self.tokens[self.position]

    def take(self) -> Token:
        token = self.tokens[self.position]
        self.position += 1
        return token

    def expect(self, sign: str, message: str) -> None:
        if self.now.text != sign:
            raise FormulaError(message, column=self.now.column)
        self.position += 1

    def inside(self, part: Callable[[], Node]) -> Node:
        """`part`, one nesting further in."""
        self.depth += 1
        if self.depth > MAX_DEPTH:
            message = f"more than {MAX_DEPTH} nestings"
            raise FormulaError(message, column=self.now.column)
        node = part()
        self.depth -= 1
        return node

    def grouped(
        self, signs: Sequence[str], part: Callable[[], Node], join: Callable[..., Node]
    ) -> Node:
        """Parts with any of the signs between them, joined from the left."""
        left = part()
        while self.now.text in signs:
            sign = self.take()
            left = join(sign.column, sign.text, left, part())
        return left

    def formula(self) -> Node:
        return self.grouped(["or"], self.both, Condition)

    def both(self) -> Node:
        return self.grouped(["and"], self.opposite, Condition)

    def opposite(self) -> Node:
        if self.now.text == "not":
            return Not(self.take().column, self.inside(self.opposite))
        return self.comparison()

    def comparison(self) -> Node:
        left = self.sum()
        if self.now.text in COMPARISONS:
            sign = self.take()
            return Comparison(sign.column, sign.text, left, self.sum())
        return left

    def sum(self) -> Node:
        return self.grouped(["+", "-"], self.product, Arithmetic)

    def product(self) -> Node:
        return self.grouped(["*", "/"], self.negative, Arithmetic)

    def negative(self) -> Node:
        if self.now.text == "-":
            return Negative(self.take().column, self.inside(self.negative))
        return self.atom()

    def atom(self) -> Node:
        token = self.take()
        if token.kind == "length":
            return Literal(token.column, _length(token))
        if token.kind == "number":
            return Literal(token.column, Affine.of(Fraction(token.text)))
        if token.kind == "text":
            return Literal(token.column, token.text[1:-1])
        if token.kind == "name":
            return self.name_or_call(token)
        if token.text == "(":
            node = self.inside(self.formula)
            self.expect(")", "a closing parenthesis is missing")
            return node
        found = f"not {token.text!r}" if token.text else "and the formula ends"
        raise FormulaError(f"a value is expected here, {found}", column=token.column)

    def name_or_call(self, token: Token) -> Node:
        is_function = token.text == "choose" or token.text in FUNCTIONS
        if self.now.text == "(":
            if not is_function:
                known = ", ".join([*FUNCTIONS, "choose"])
                message = f"{token.text!r} is no function here; there are {known}"
                raise FormulaError(message, column=token.column)
            return self.call(token)
        if is_function:
            message = f"{token.text} is a function: its arguments follow in parentheses"
            raise FormulaError(message, column=token.column)
        self.names.add(token.text)
        if len(self.names) > MAX_NAMES:
            raise FormulaError(f"more than {MAX_NAMES} names", column=token.column)
        return Name(token.column, token.text)

    def call(self, token: Token) -> Node:
        self.take()
        arguments = [self.inside(self.formula)]
        while self.now.text == ",":
            self.take()
            arguments.append(self.inside(self.formula))
        self.expect(")", "a comma or a closing parenthesis is missing")
        if token.text == "choose":
            if len(arguments) != 3:
                raise _wrong_count(token, "3", len(arguments))
            return Choose(token.column, *arguments)
        function = FUNCTIONS[token.text]
        if not function.least <= len(arguments) <= (function.most or len(arguments)):
            wanted = f"{function.least}" if function.most else f"{function.least} or more"
            raise _wrong_count(token, wanted, len(arguments))
        return Call(token.column, token.text, tuple(arguments))


def _wrong_count(token: Token, wanted: str, given: int) -> FormulaError:
    noun = "argument" if wanted == "1" else "arguments"
    message = f"{token.text} takes {wanted} {noun}, and {given} stand here"
    return FormulaError(message, column=token.column)


def _length(token: Token) -> Affine:
    try:
        return Affine.of(read_length(token.text, Unit.MM))  # the unit is in the text
    except LengthError as fault:
        column = token.column + fault.column - 1
        raise FormulaError(fault.reason, column=column) from None
