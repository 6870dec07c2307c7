"""Reference data: every figure the calculators use that is not an answer of the user's, with its source.

The data are JSON files beside this module. ``load`` reads one and freezes it, so no caller can change a
figure for another. The typed helpers below cover the tables that calculators and pages use most.

This module depends on the standard library only and imports nothing else of the package.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Any

STATUSES = (
    "published",
    "restated",
    "common practice",
    "from memory",
    "computed",
    "chosen here",
    "example",
)
"""How a figure is known, from the firmest to the least: see ``STATUS_MEANINGS``."""

STATUS_MEANINGS: Mapping[str, str] = MappingProxyType(
    {
        "published": "read in the publication itself or in an official copy of it",
        "restated": "read in a text that restates the publication named",
        "common practice": "common practice in the trade, no source",
        "from memory": "recalled, not read in the publication: unverified",
        "computed": "worked out here from the figures named",
        "chosen here": "chosen for this handbook; change it when you know better",
        "example": "invented for the example yard",
    }
)

FILES = (
    "arrivals_factors",
    "cautions",
    "climate",
    "field",
    "heaps",
    "heat",
    "layout",
    "lifting",
    "machines",
    "materials",
    "money",
    "quality_limits",
    "quantities",
    "recipe_ranges",
    "siting",
    "safety",
    "sources",
    "standards_maturity",
    "troubles",
    "temperature_rules",
    "uncertainty",
    "water",
    "work_rates",
    "worms",
)
"""Names that ``load`` accepts."""

MATERIAL_PROPERTIES = (
    "moisture_percent_wet",
    "nitrogen_percent_dry",
    "carbon_to_nitrogen",
    "bulk_density_kg_m3",
    "organic_matter_percent_dry",
)
"""Names of the figures that a material row holds."""


class UnknownReference(KeyError):
    """A name that the reference data do not hold. The message lists near names where there are any."""

    def __init__(self, kind: str, key: object, known: tuple[str, ...]) -> None:
        shown = ", ".join(known[:40]) + (" and more" if len(known) > 40 else "")
        self.message = f"there is no {kind} named {key!r}; known: {shown}"
        super().__init__(self.message)

    def __str__(self) -> str:
        return self.message


@dataclass(frozen=True)
class Source:
    """Where a figure comes from, and how surely.

    ``status`` is one of ``STATUSES``. ``read_in`` names the text actually read where that was not the
    publication itself.
    """

    key: str
    citation: str
    status: str
    url: str | None = None
    read_in: str | None = None
    note: str = ""


@dataclass(frozen=True)
class Figure:
    """One sourced number with its range: ``low <= typical <= high``, in the unit its name states.

    ``status`` is that of this figure, which may be less sure than its source as a whole.
    """

    typical: float
    low: float
    high: float
    source: str
    status: str
    note: str = ""

    def cited(self) -> Source:
        """The figure's source, carrying the figure's own status and note."""
        return cited(self.source, self.status, self.note)


@dataclass(frozen=True)
class Material:
    """One feedstock. A property is ``None`` where no figure is known.

    ``alternatives`` maps a property to other published figures for it, each a ``Figure``.
    """

    key: str
    name: str
    group: str
    moisture_percent_wet: Figure | None
    nitrogen_percent_dry: Figure | None
    carbon_to_nitrogen: Figure | None
    bulk_density_kg_m3: Figure | None
    organic_matter_percent_dry: Figure | None
    usable_as_default: bool
    note: str = ""
    alternatives: Mapping[str, tuple[Figure, ...]] = field(default_factory=dict)


@dataclass(frozen=True)
class Caution:
    """A warning to show beside a result: what can hurt, and what to do."""

    key: str
    hazard: str
    title: str
    text: str
    sources: tuple[str, ...]
    status: str


@dataclass(frozen=True)
class Band:
    """One row of a classification table.

    ``low`` or ``high`` is ``None`` where the band has no bound on that side; ``low_inclusive`` and
    ``high_inclusive`` say whether the bound itself belongs to the band.
    """

    key: str
    label: str
    meaning: str
    low: float | None
    high: float | None
    low_inclusive: bool
    high_inclusive: bool
    source: str
    status: str

    def holds(self, value: float) -> bool:
        """Whether ``value``, in the table's unit, falls in this band."""
        above = self.low is None or value > self.low or (self.low_inclusive and value == self.low)
        below = self.high is None or value < self.high or (self.high_inclusive and value == self.high)
        return above and below


def _frozen(value: Any) -> Any:
    """The same JSON value with objects made read-only and arrays made tuples."""
    if isinstance(value, dict):
        return MappingProxyType({name: _frozen(item) for name, item in value.items()})
    if isinstance(value, list):
        return tuple(_frozen(item) for item in value)
    return value


@cache
def load(name: str) -> Any:
    """The reference file ``name`` (one of ``FILES``), read-only. Raises ``UnknownReference``."""
    if name not in FILES:
        raise UnknownReference("reference file", name, FILES)
    text = resources.files(__package__).joinpath(f"{name}.json").read_text(encoding="utf-8")
    return _frozen(json.loads(text))


def rows_of(name: str, table: str) -> tuple[Mapping[str, Any], ...]:
    """The rows of ``table`` in the file ``name``. Raises ``UnknownReference`` for either name."""
    tables = load(name)
    if not isinstance(tables, Mapping) or table not in tables:
        known = tuple(tables) if isinstance(tables, Mapping) else ()
        raise UnknownReference(f"table in {name}", table, known)
    return tables[table]["rows"]


# Sources


@cache
def sources() -> Mapping[str, Source]:
    """Every source by its key."""
    found = (
        Source(
            key=row["key"],
            citation=row["citation"],
            status=row["status"],
            url=row["url"],
            read_in=row.get("read_in"),
            note=row.get("note", ""),
        )
        for row in load("sources")
    )
    return MappingProxyType({each.key: each for each in found})


def source(key: str) -> Source:
    """The source named ``key``. Raises ``UnknownReference``."""
    try:
        return sources()[key]
    except KeyError:
        raise UnknownReference("source", key, tuple(sources())) from None


def cited(key: str, status: str | None = None, note: str = "") -> Source:
    """The source named ``key`` as it stands behind one figure: with that figure's status and note.

    Raises ``UnknownReference`` for an unknown key and ``ValueError`` for an unknown status.
    """
    found = source(key)
    if status is not None and status not in STATUSES:
        raise ValueError(f"unknown status {status!r}; known: {', '.join(STATUSES)}")
    return replace(found, status=status or found.status, note=note or found.note)


# Figures


def _figure(row: Mapping[str, Any] | None) -> Figure | None:
    if row is None:
        return None
    return Figure(
        typical=row["typical"],
        low=row["low"],
        high=row["high"],
        source=row["source"],
        status=row["status"],
        note=row.get("note", ""),
    )


def figures(name: str, table: str) -> Mapping[str, Figure]:
    """The rows of ``table`` in the file ``name`` as figures by key. Raises ``UnknownReference``."""
    found = {row["key"]: _figure(row) for row in rows_of(name, table)}
    return MappingProxyType(found)


def figure(name: str, table: str, key: str) -> Figure:
    """One figure: ``figure('heaps', 'shrinkage', 'volume_left_fraction')``. Raises ``UnknownReference``."""
    found = figures(name, table)
    if key not in found:
        raise UnknownReference(f"figure in {name}, {table}", key, tuple(found))
    return found[key]


# Materials


@cache
def materials() -> Mapping[str, Material]:
    """Every feedstock by its key, in the file's order."""
    found: dict[str, Material] = {}
    for row in load("materials"):
        alternatives = {
            name: tuple(_figure(each) for each in others)
            for name, others in row.get("alternatives", {}).items()
        }
        properties = {name: _figure(row[name]) for name in MATERIAL_PROPERTIES}
        found[row["key"]] = Material(
            key=row["key"],
            name=row["name"],
            group=row["group"],
            usable_as_default=all(properties.values()),
            note=row.get("note", ""),
            alternatives=MappingProxyType(alternatives),
            **properties,
        )
    return MappingProxyType(found)


def material(key: str) -> Material:
    """The feedstock named ``key``. Raises ``UnknownReference``."""
    try:
        return materials()[key]
    except KeyError:
        raise UnknownReference("material", key, tuple(materials())) from None


# Cautions


@cache
def cautions() -> Mapping[str, Caution]:
    """Every caution by its key, in the file's order."""
    found = (
        Caution(
            key=row["key"],
            hazard=row["hazard"],
            title=row["title"],
            text=row["text"],
            sources=row["sources"],
            status=row["status"],
        )
        for row in load("cautions")
    )
    return MappingProxyType({each.key: each for each in found})


def caution(key: str) -> Caution:
    """The caution named ``key``. Raises ``UnknownReference``."""
    try:
        return cautions()[key]
    except KeyError:
        raise UnknownReference("caution", key, tuple(cautions())) from None


def caution_text(key: str) -> str:
    """The text of the caution named ``key``. Raises ``UnknownReference``."""
    return caution(key).text


# Classification tables


@cache
def bands(name: str) -> tuple[Band, ...]:
    """The bands of a maturity table, in the file's order: ``bands('self_heating')``.

    Raises ``UnknownReference`` where there is no such table or it holds no bands.
    """
    tables = load("standards_maturity")
    known = tuple(each for each in tables if tables[each].get("kind") == "bands")
    if name not in known:
        raise UnknownReference("table of bands", name, known)
    return tuple(
        Band(
            key=row["key"],
            label=row["label"],
            meaning=row["meaning"],
            low=row["low"],
            high=row["high"],
            low_inclusive=row["low_inclusive"],
            high_inclusive=row["high_inclusive"],
            source=row["source"],
            status=row["status"],
        )
        for row in tables[name]["rows"]
    )


def band_for(name: str, value: float) -> Band:
    """The band of the table ``name`` that ``value`` falls in.

    Raises ``UnknownReference`` for an unknown table and ``ValueError`` where no band holds the value
    (below the table's least figure, or not a number).
    """
    for band in bands(name):
        if band.holds(value):
            return band
    raise ValueError(f"{value!r} is outside the bands of {name}")
