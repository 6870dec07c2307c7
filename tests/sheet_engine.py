"""A small spreadsheet: works formulas out again, by the rules of ECMA-376 part 1, 18.17 (operators bind as there:
unary minus tighter than ^, ^ to the left, comparisons last). Independent of what writes them."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from typing import Any

_TOKEN = re.compile(
    r"""\s*(?:(?P<number>\d+\.?\d*(?:[Ee][+-]?\d+)?)|(?P<text>"(?:[^"]|"")*")|(?P<cell>(?:'(?:[^']|'')*'!)?\$?[A-Z]{1,2}\$?\d+)
    (?![\w(])|(?P<name>[A-Z][A-Z0-9.]*)(?=\()|(?P<sign><>|<=|>=|[-+*/^=<>(),:]))""",
    re.VERBOSE,
)


class SheetError(Exception):
    """An error value: #N/A, #DIV/0!, #NUM!, #VALUE!."""


class Formula(str):
    """What a cell works out, without the = in front."""


class Sheet:
    """Cells by sheet and address; ``value`` works one out."""

    def __init__(self, cells: Mapping[tuple[str, str], Any]) -> None:
        self.cells = dict(cells)
        self.parsed: dict[str, Any] = {}
        self.found: dict[tuple[str, str], Any] = {}

    @property
    def formulas(self) -> list[tuple[str, str]]:
        """Sheet and address of every formula."""
        return [at for at, held in self.cells.items() if isinstance(held, Formula)]

    def change(self, cells: Mapping[tuple[str, str], Any]) -> Sheet:
        """The same sheets with other values in some cells."""
        other = Sheet({**self.cells, **cells})
        other.parsed = self.parsed
        return other

    def value(self, page: str, address: str) -> Any:
        """What the cell shows: a number, text, a bool, ``None`` for nothing, or a ``SheetError``."""
        at = (page, address)
        if at not in self.found:
            held = self.cells.get(at)
            if isinstance(held, Formula):
                if held not in self.parsed:
                    self.parsed[held] = _Parser(held).whole()
                try:
                    held = self._run(self.parsed[held], page)
                except SheetError as error:
                    held = error
            self.found[at] = held
        return self.found[at]

    def _run(self, node: Any, page: str) -> Any:
        kind = node[0]
        if kind == "constant":
            return node[1]
        if kind == "cell":
            found = self.value(node[1] or page, node[2])
            if isinstance(found, SheetError):
                raise found
            return found
        if kind == "negative":
            return -_number(self._run(node[1], page))
        if kind == "call":
            return self._call(node[1], node[2], page)
        return _OPERATIONS[kind](self._run(node[1], page), self._run(node[2], page))

    def _call(self, name: str, parts: list[Any], page: str) -> Any:
        if name == "IF":
            return self._run(parts[1] if self._run(parts[0], page) else parts[2], page)
        if name == "NA":
            raise SheetError("#N/A")
        if name == "ISNUMBER":
            try:
                found = self._run(parts[0], page)
            except SheetError:
                return False
            return isinstance(found, (int, float)) and not isinstance(found, bool)
        if name == "COUNTIF":
            _, first, last = parts[0]
            column, low, high = first[2][0], int(first[2][1:]), int(last[2][1:])
            wanted = self._run(parts[1], page)
            return sum(self.value(page, f"{column}{row}") == wanted for row in range(low, high + 1))
        values = [self._run(part, page) for part in parts]
        if name in ("AND", "OR"):
            return all(values) if name == "AND" else any(values)
        try:
            return _FUNCTIONS[name](*[_number(value) for value in values])
        except (ValueError, OverflowError):
            raise SheetError("#NUM!") from None


def _number(value: Any) -> float:
    if value is None:
        return 0.0
    if isinstance(value, (int, float)):
        return float(value)
    raise SheetError("#VALUE!")


def _divided(left: Any, right: Any) -> float:
    if _number(right) == 0:
        raise SheetError("#DIV/0!")
    return _number(left) / _number(right)


def _raised(left: Any, right: Any) -> float:
    try:
        found = _number(left) ** _number(right)
    except (ZeroDivisionError, OverflowError):
        raise SheetError("#NUM!") from None
    if isinstance(found, complex):
        raise SheetError("#NUM!")
    return found


def _rounded(value: float, digits: float) -> float:
    scale = 10.0**digits
    return math.copysign(math.floor(abs(value) * scale + 0.5) / scale, value)


def _like(value: Any) -> Any:
    return "" if value is None else value


_OPERATIONS: dict[str, Callable[[Any, Any], Any]] = {
    "+": lambda a, b: _number(a) + _number(b), "-": lambda a, b: _number(a) - _number(b),
    "*": lambda a, b: _number(a) * _number(b), "/": _divided, "^": _raised,
    "=": lambda a, b: _like(a) == _like(b), "<>": lambda a, b: _like(a) != _like(b),
    "<": lambda a, b: _number(a) < _number(b), "<=": lambda a, b: _number(a) <= _number(b),
    ">": lambda a, b: _number(a) > _number(b), ">=": lambda a, b: _number(a) >= _number(b),
}  # fmt: skip
_FUNCTIONS: dict[str, Callable[..., float]] = {
    "ABS": abs, "EXP": math.exp, "LOG10": math.log10, "SQRT": math.sqrt, "INT": math.floor, "TRUNC": math.trunc,
    "MIN": min, "MAX": max, "ROUND": _rounded,
}  # fmt: skip


class _Parser:
    def __init__(self, text: str) -> None:
        self.tokens: list[tuple[str, str]] = []
        at = 0
        while at < len(text):
            match = _TOKEN.match(text, at)
            assert match, f"not a formula at {text[at : at + 40]!r}"
            self.tokens.append((match.lastgroup or "", match.group(match.lastgroup or 0)))
            at = match.end()
        self.at = 0

    def whole(self) -> Any:
        found = self.binary(0)
        assert self.at == len(self.tokens), self.tokens[self.at :]
        return found

    def peek(self) -> str:
        return self.tokens[self.at][1] if self.at < len(self.tokens) else ""

    def take(self, wanted: str = "") -> str:
        found = self.peek()
        assert not wanted or found == wanted, (found, wanted)
        self.at += 1
        return found

    def binary(self, level: int) -> Any:
        levels = (("=", "<>", "<", "<=", ">", ">="), ("+", "-"), ("*", "/"), ("^",))
        if level == len(levels):
            return self.unary()
        found = self.binary(level + 1)
        while self.peek() in levels[level]:
            found = (self.take(), found, self.binary(level + 1))
        return found

    def unary(self) -> Any:
        if self.peek() == "-":
            self.take()
            return ("negative", self.unary())
        return self.single()

    def single(self) -> Any:
        kind, text = self.tokens[self.at]
        self.at += 1
        if kind == "number":
            return ("constant", float(text))
        if kind == "text":
            return ("constant", text[1:-1].replace('""', '"'))
        if kind == "cell":
            page, _, address = text.rpartition("!")
            found: Any = ("cell", page[1:-1].replace("''", "'"), address)
            if self.peek() == ":":
                self.take()
                found = ("range", found, self.single())
            return found
        if kind == "name":
            self.take("(")
            parts = []
            while self.peek() != ")":
                parts.append(self.binary(0))
                if self.peek() == ",":
                    self.take()
            self.take(")")
            return ("call", text, parts)
        assert text == "(", text
        found = self.binary(0)
        self.take(")")
        return found
