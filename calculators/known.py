"""Numbers that know where they come from, so that what was computed can be written down as live formulas.

A ``Known`` (or ``KnownCount``, a whole number) is the very number that it would be without: its value, text and
arithmetic are those of a float (an int). Beside that it keeps a *node*, the expression that gave it: an answer's
or a step's address, a constant, or an operation on such. ``formula`` writes a node in the signs of a spreadsheet.

Where a number is compared, the branch taken depends on it: the comparison is kept in a ``Memory``, as a condition that
held. Where a number leaves by a way that keeps no expression (``float``, ``int``, a remainder), the memory becomes
``opaque``: what is computed from there on is right for these answers only. Three ways can't be seen: functions of
``math`` given such a number other than ``ceil`` and ``floor``, a count as an index, and text. ``plain`` and
``Memory.untraced`` are the ways out on purpose.
"""

from __future__ import annotations

import dataclasses
import math
import operator
from collections.abc import Callable
from typing import Any

MOST_PARTS = 250
"""An expression of more parts than this is not kept: a cell must stay legible, and within the 8,192 signs it may have."""
MOST_CONDITIONS = 150
"""More conditions than this are not kept one by one."""

ROUND_UP_GUARD = 1e-9
"""A quotient this close above a whole number counts as that number: 3.0000000001 bays are three bays."""

Node = Any
"""A constant (a number), ('@', 1, address), (operation, size, part, …), or ``None``: not known how."""


def node_of(value: Any) -> Node:
    """The expression of a number: its own if it has one, else the number as a constant."""
    kind = type(value)
    if kind is float or kind is int:
        return value
    return int(value) if kind is bool else getattr(value, "node", value)


def combined(operation: str, *parts: Node) -> Node:
    """The node of an operation on nodes; ``None`` where a part is not known or the whole would be too long."""
    size = 1
    for part in parts:
        if type(part) is tuple:
            size += part[1]
        elif part is None:
            return None
        else:
            size += 1
    return (operation, size, *parts) if size <= MOST_PARTS else None


def plain(value: Any) -> Any:
    """The value without what it knows; lists, tuples, dictionaries and dataclasses with all that is in them.

    For words and drawings. A figure made from plain numbers belongs into ``Memory.untraced``.
    """
    kind = type(value)
    if kind in _PLAIN:
        return value
    if kind is Known or kind is KnownCount:
        return value.plain
    if isinstance(value, float):
        return float.__pos__(value)
    if kind is tuple or kind is list:
        return kind([plain(item) for item in value])
    if kind is dict:
        return {key: plain(item) for key, item in value.items()}
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return kind(**{name: plain(item) for name, item in vars(value).items()})
    return value


_PLAIN = frozenset((float, int, str, bool, type(None)))


class Memory:
    """What the way of one computation depended on: conditions that held, in order, and whether there was more.

    ``closed`` is true while untraced work runs: a figure recorded then is known for these answers only.
    """

    def __init__(self) -> None:
        self.conditions: dict[Node, None] = {}
        self.opaque = False
        self.closed = False

    def saw(self, relation: str, left: Node, right: Node) -> None:
        """Keep that ``left relation right`` held; nothing where both are constants."""
        if type(left) is not tuple and type(right) is not tuple and left is not None and right is not None:
            return
        if relation == "<>" and any(type(side) is float and math.isinf(side) for side in (left, right)):
            return  # no cell is infinite
        condition = combined(relation, left, right)
        if condition is None or len(self.conditions) >= MOST_CONDITIONS:
            self.opaque = True
        else:
            self.conditions.setdefault(condition)

    def untraced(self, work: Callable[..., Any], *values: Any) -> Any:
        """What ``work`` gives for the plain values; its numbers are marked as known for these values only.

        For long walks and searches. Words that it gives must not decide about figures.
        """
        before, self.closed = self.closed, True
        try:
            return self._marked(work(*(plain(value) for value in values)))
        finally:
            self.closed = before

    def _marked(self, value: Any) -> Any:
        if isinstance(value, (bool, str)) or value is None:
            return value
        if isinstance(value, (int, float)):
            return made(value, None, self)
        if isinstance(value, (tuple, list)):
            return type(value)(self._marked(item) for item in value)
        if dataclasses.is_dataclass(value) and not isinstance(value, type):
            return type(value)(**{name: self._marked(item) for name, item in vars(value).items()})
        return value


_new_float, _new_int = float.__new__, int.__new__


def made(value: Any, node: Node, memory: Memory | None) -> Any:
    """``value`` as a number that knows its node."""
    new: Any
    kind = type(value)
    if kind is float:
        new = _new_float(Known, value)
    elif kind is int:
        new = _new_int(KnownCount, value)
    else:
        return value  # a complex number: no formula here gives one on purpose
    new.plain, new.node, new.memory = value, node, memory
    return new


def known(value: Any, address: str, memory: Memory) -> Any:
    """A number, or the numbers of a tuple (address:0, address:1 …), as read from ``address``; anything else as it is."""
    if isinstance(value, bool):
        return value
    if isinstance(value, (int, float)):
        return made(value, ("@", 1, address), memory)
    if isinstance(value, tuple):
        return tuple([known(item, f"{address}:{index}", memory) for index, item in enumerate(value)])
    return value


def _left(operation: str, work: Callable[[Any, Any], Any]) -> Callable[[Any, Any], Any]:
    def run(self: Any, other: Any) -> Any:
        kind = type(other)
        if kind is Known or kind is KnownCount:
            value, node = work(self.plain, other.plain), combined(operation, self.node, other.node)
        elif kind is float or kind is int or kind is bool:
            value, node = work(self.plain, other), combined(operation, self.node, other)
        else:
            return NotImplemented
        return made(value, node, self.memory)

    return run


def _right(operation: str, work: Callable[[Any, Any], Any]) -> Callable[[Any, Any], Any]:
    def run(self: Any, other: Any) -> Any:
        kind = type(other)
        if kind is int and other == 0 and operation == "+":
            return self  # the start value of sum()
        if kind is float or kind is int or kind is bool:
            return made(work(other, self.plain), combined(operation, other, self.node), self.memory)
        return NotImplemented

    return run


def _relation(held: str, otherwise: str, work: Callable[[Any, Any], bool]) -> Callable[[Any, Any], Any]:
    def run(self: Any, other: Any) -> Any:
        if not isinstance(other, (int, float)):
            return NotImplemented
        truth = work(plain(self), plain(other))
        if self.memory is not None:
            self.memory.saw(held if truth else otherwise, self.node, node_of(other))
        return truth

    return run


def _leaves(work: Callable[..., Any]) -> Callable[..., Any]:
    """A way out that keeps no expression."""

    def run(self: Any, *others: Any) -> Any:
        if self.memory is not None and (self.node is None or type(self.node) is tuple):
            self.memory.opaque = True
        return work(plain(self), *(plain(other) for other in others))

    return run


class Watched:
    """Comparisons and ways out of a number with ``node`` and ``memory``: each is seen by the memory."""

    __slots__ = ()
    node: Node
    memory: Memory | None

    __lt__ = _relation("<", ">=", operator.lt)
    __le__ = _relation("<=", ">", operator.le)
    __gt__ = _relation(">", "<=", operator.gt)
    __ge__ = _relation(">=", "<", operator.ge)
    __eq__ = _relation("=", "<>", operator.eq)
    __ne__ = _relation("<>", "=", operator.ne)
    __hash__ = _leaves(hash)  # type: ignore[assignment]
    __float__ = _leaves(float)
    __int__ = _leaves(int)
    __trunc__ = _leaves(math.trunc)
    __round__ = _leaves(round)
    __ceil__ = _leaves(math.ceil)
    __floor__ = _leaves(math.floor)
    __floordiv__ = _leaves(operator.floordiv)
    __rfloordiv__ = _leaves(lambda value, other: other // value)
    __mod__ = _leaves(operator.mod)
    __rmod__ = _leaves(lambda value, other: other % value)
    __divmod__ = _leaves(divmod)
    __rdivmod__ = _leaves(lambda value, other: divmod(other, value))
    is_integer = _leaves(lambda value: float(value).is_integer())
    as_integer_ratio = _leaves(lambda value: value.as_integer_ratio())

    def __format__(self, how: str) -> str:
        return format(plain(self), how)

    def __bool__(self) -> bool:
        return self != 0

    def __pos__(self) -> Any:
        return self


class _Arithmetic(Watched):
    __slots__ = ()
    plain: Any

    __add__, __radd__ = _left("+", operator.add), _right("+", operator.add)
    __sub__, __rsub__ = _left("-", operator.sub), _right("-", operator.sub)
    __mul__, __rmul__ = _left("*", operator.mul), _right("*", operator.mul)
    __truediv__, __rtruediv__ = _left("/", operator.truediv), _right("/", operator.truediv)
    __pow__, __rpow__ = _left("^", operator.pow), _right("^", operator.pow)

    def __neg__(self) -> Any:
        return made(-self.plain, combined("neg", self.node), self.memory)

    def __abs__(self) -> Any:
        return made(abs(self.plain), combined("ABS", self.node), self.memory)

    def __round__(self, digits: int | None = None) -> Any:
        node = None if digits is None else combined("ROUND", self.node, digits)
        return made(round(self.plain, digits), node, self.memory)

    def __ceil__(self) -> Any:
        return made(math.ceil(self.plain), combined("ceiling", self.node), self.memory)

    def __floor__(self) -> Any:
        return made(math.floor(self.plain), combined("INT", self.node), self.memory)

    @property
    def origin(self) -> str:
        """The address of the cell that it comes from, '' where it was worked out: 'answer:homes', 'step:4'."""
        return self.node[2] if type(self.node) is tuple and self.node[0] == "@" else ""


class Known(_Arithmetic, float):
    """A float that knows where it comes from."""

    __slots__ = ("memory", "node", "plain")


class KnownCount(_Arithmetic, int):
    """A whole number that knows where it comes from."""  # an int can't have slots of its own


def as_count(value: Any) -> int:
    """A whole number of things as an int, still knowing where it comes from. The value must be whole."""
    if type(value) is float:
        if not value.is_integer():
            raise ValueError(f"{value!r} is not a whole number")
        return int(value)
    count = int(plain(value))
    if count != plain(value):
        raise ValueError(f"{plain(value)!r} is not a whole number")
    return made(count, combined("TRUNC", value.node), value.memory) if isinstance(value, Known) else count


# ---- in the signs of a spreadsheet ----------------------------------------------------------------------------

_RANKS = {"=": 0, "<>": 0, "<": 0, "<=": 0, ">": 0, ">=": 0, "+": 1, "-": 1, "*": 2, "/": 2}


def formula(node: Node, cell: Callable[[str], str | None]) -> str | None:
    """A node as a spreadsheet's expression, without ``=`` in front. ``cell`` gives the cell of an address.

    ``None`` where the node, a cell or a constant (an infinite one) has no rendering.
    """
    try:
        return _written(node, cell)[0]
    except _NotWritable:
        return None


class _NotWritable(Exception):
    pass


def _written(node: Node, cell: Callable[[str], str | None]) -> tuple[str, int]:
    """The text and how tightly it binds: 4 for a single value, 3 a power, 2 a product, 1 a sum, 0 a comparison."""
    if node is None:
        raise _NotWritable
    if type(node) is not tuple:
        number = plain(node)
        if not math.isfinite(number):
            raise _NotWritable
        text = repr(number).upper()
        return (f"({text})", 4) if text.startswith("-") else (text, 4)
    operation, parts = node[0], node[2:]
    if operation == "@":
        found = cell(parts[0])
        if found is None:
            raise _NotWritable
        return found, 4
    written = [_written(part, cell) for part in parts]
    texts = [text for text, _ in written]
    if operation == "neg":
        # in brackets as a whole: a spreadsheet takes -2^2 as (-2)^2
        return f"(-{_in_brackets(*written[0], 4)})", 4
    if operation == "^":
        return f"{_in_brackets(*written[0], 4)}^{_in_brackets(*written[1], 4)}", 3
    if operation in _RANKS:
        rank = _RANKS[operation]
        # the right-hand part in brackets, so that a sum is added in the order in which it was
        return f"{_in_brackets(*written[0], rank)}{operation}{_in_brackets(*written[1], rank + 1)}", rank
    if operation == "ceiling":
        return f"(-INT(-({texts[0]})))", 4
    if operation == "round up":
        return f"(-INT(-(({texts[0]})-{repr(ROUND_UP_GUARD).upper()})))", 4
    return f"{operation}({','.join(texts)})", 4


def _in_brackets(text: str, rank: int, needed: int) -> str:
    return text if rank >= needed else f"({text})"
