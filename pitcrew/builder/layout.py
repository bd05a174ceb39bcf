"""Places for the zones of a robot that no one has drawn yet: beside what has its place, in rows."""

from typing import Any

_MARGIN = 2.0


def placed(zones: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The zones, each once and each with a box in percent of the outline."""
    once = list({zone["id"]: zone for zone in zones}.values())
    free = [zone for zone in once if "box" not in zone]
    left, right = (26.0, 74.0) if len(free) < len(once) else (_MARGIN, 100 - _MARGIN)
    columns = 1 if len(free) <= 7 else 2
    rows = max(1, -(-len(free) // columns))
    wide, high = (right - left) / columns, (100 - 2 * _MARGIN) / rows
    for number, zone in enumerate(free):
        row, column = divmod(number, columns)
        zone["box"] = [
            round(left + column * wide, 1),
            round(_MARGIN + row * high, 1),
            round(wide - 1, 1),
            round(high - 1, 1),
        ]
    return once
