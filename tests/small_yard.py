"""A small yard set out by hand, to draw: eight bays in two rows, a few rooms, a lane from the gate."""

from __future__ import annotations

from calculators.drawing.layout import (
    Aisle,
    Dimension,
    Drain,
    Fall,
    Gate,
    Layout,
    Limits,
    Marked,
    Opening,
    Polygon,
    Roof,
    Room,
    Vehicle,
    Wall,
)

BAY_W, BAY_L, WALL = 1.5, 3.6, 0.15


def box(x: float, y: float, wide: float, tall: float) -> Polygon:
    return ((x, y), (x + wide, y), (x + wide, y + tall), (x, y + tall))


def small_yard() -> Layout:
    """A plot of 14 m × 18 m with its gate in the south."""
    rooms, walls = [], []
    kinds = ("first_stage", "first_stage", "first_stage", "first_stage", "first_stage", "spare", "curing", "reserve")
    for index, kind in enumerate(kinds):
        row, place = divmod(index, 4)
        x, y = 1.0 + place * (BAY_W + WALL), 7.0 + row * (BAY_L + 1.8)
        front = y + BAY_L if row == 0 else y
        rooms.append(Room(f"bay-{index + 1}", kind, f"Bay {index + 1}", box(x, y, BAY_W, BAY_L),  # type: ignore[arg-type]
                          (Opening("bay_front", (x, front), (x + BAY_W, front)),)))  # fmt: skip
        walls.append(Wall("front", (x, front), (x + BAY_W, front), 0.05, 0.3, 2.7))
        side = x - WALL / 2
        walls.append(Wall("partition", (side, y), (side, y + BAY_L), WALL, 0.3, 2.7))
    right = 1.0 + 4 * (BAY_W + WALL) - WALL / 2
    for row in range(2):
        y = 7.0 + row * (BAY_L + 1.8)
        back = y - WALL / 2 if row == 0 else y + BAY_L + WALL / 2
        walls.append(Wall("partition", (right, y), (right, y + BAY_L), WALL, 0.3, 2.7))
        walls.append(Wall("back", (1.0 - WALL, back), (right + WALL / 2, back), WALL, 0.3, 2.7))
    rooms.append(Room("receiving", "receiving", "Receiving floor", box(1.0, 1.5, 4.0, 4.0), (Opening("vehicle", (5.0, 1.5), (5.0, 5.5)),)))
    office = box(9.5, 14.0, 3.0, 2.5)
    rooms.append(Room("office", "office", "Office", office, (Opening("door", (9.5, 14.6), (9.5, 15.5)),)))
    for start, end in zip(office, [*office[1:], office[0]], strict=True):
        walls.append(Wall("room", start, end, WALL, 2.4, 0.0))
    rooms.append(Room("leaves", "leaf_store", "Leaf store", box(9.5, 9.5, 3.0, 3.0), (Opening("open_side", (9.5, 9.5), (9.5, 12.5)),)))
    return Layout(
        plot=box(0.0, 0.0, 14.0, 18.0),
        usable=box(0.5, 0.5, 13.0, 17.0),
        gate=Gate((5.5, 0.0), (9.0, 0.0), (0.0, 1.0)),
        rooms=tuple(rooms),
        aisles=(Aisle("aisle", box(1.0, 10.6, 6.45, 1.8), True), Aisle("lane", box(5.7, 0.0, 3.2, 12.4), False)),
        walls=tuple(walls),
        roofs=(Roof(box(0.1, 6.0, 8.3, 11.0), ((0.1, 11.5), (8.4, 11.5)), 15.0, 3.0, 0.8),),
        drains=(Drain((1.0, 10.7), (7.4, 10.7), 1.0, 0.0, -0.064), Drain((1.0, 12.3), (7.4, 12.3), 1.0, 0.0, -0.064)),
        falls=(Fall((2.0, 8.0), (2.0, 10.0), 2.0), Fall((2.0, 15.5), (2.0, 13.5), 2.0)),
        marks=(Marked("tap", (5.3, 5.9), "Tap"), Marked("power", (9.2, 13.4), "Power"), Marked("sump", (7.9, 11.5), "Sump"),
               Marked("lamp", (4.2, 11.5), "Lamp"), Marked("extinguisher", (9.1, 12.9), "Extinguisher")),
        dimensions=(
            Dimension((0.0, 0.0), (0.0, 18.0), 1.6), Dimension((0.0, 18.0), (14.0, 18.0), 1.2),
            Dimension((1.0, 7.0), (2.5, 7.0), -0.6), Dimension((7.45, 10.6), (7.45, 7.0), 0.8), Dimension((12.5, 9.5), (12.5, 12.5), -0.8, "leaves"),
        ),
        vehicle=Vehicle(4.5, 1.7, 2.5, 0.8, 5.0),
        swept=((6.2, 0.0), (8.4, 0.0), (8.4, 6.0), (6.2, 6.0)),
        path=((7.3, 0.0), (7.3, 2.0), (7.3, 5.0)),
        limits=Limits(0.5, 1.2, 3.0, 0.3, 3.0, 2.0),
    )  # fmt: skip
